"""Where pitch leans as a habit, in the words of the teacher's page: one line a group of notes."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from recordings.analysis.measure.fifths import FIFTH_CENTS
from recordings.analysis.tell.sounded import sounded_name
from repertoire.notation.score import Score
from repertoire.notation.sentence import PitchName
from repertoire.wording.pitch_names import pitch_words

AUDIBLE_CENTS = 5  # less than this is not heard as off
TOWARDS_CENTS = 0.6  # a fifth; beyond twice the error at which a system is told at all: no published source
_APPROACHES = {
    "leap_up": lambda: _("After leaps up"),
    "leap_down": lambda: _("After leaps down"),
    "step_up": lambda: _("After steps up"),
    "step_down": lambda: _("After steps down"),
}
_DEGREES = (
    lambda: _("Keynotes"), lambda: _("Lowered seconds"), lambda: _("Seconds"), lambda: _("Minor thirds"),
    lambda: _("Major thirds"), lambda: _("Fourths"), lambda: _("Raised fourths"), lambda: _("Fifths"),
    lambda: _("Minor sixths"), lambda: _("Major sixths"), lambda: _("Minor sevenths"),
    lambda: _("Leading notes"),
)  # fmt: skip
_SYSTEMS = {
    "equal": lambda: _("equal temperament"),
    "just": lambda: _("just intonation on the keynote"),
    "pythagorean": lambda: _("pure fifths from the keynote"),
}


@dataclass(frozen=True)
class Habit:
    """One group of notes: what they have in common, and how they lie."""

    name: str
    words: str


def temperament_words(result: dict) -> str:
    """What the pitch was held against: "equal temperament"."""
    name = (result.get("tuning") or {}).get("temperament", "equal")
    return _SYSTEMS.get(name, _SYSTEMS["equal"])()


def own_system_words(result: dict) -> str:
    """How this player tunes along the line of fifths, as a fact beside the figures; "" when not known."""
    leaning = (result.get("intonation") or {}).get("leaning")
    if not leaning:
        return ""
    cents = leaning["cents_per_fifth"]
    if cents < -TOWARDS_CENTS:
        return _("This player places the notes towards pure thirds: sharps low, flats high.")
    if cents < TOWARDS_CENTS:
        return _("This player places the notes close to equal temperament.")
    if cents < FIFTH_CENTS - TOWARDS_CENTS:
        return _("This player places sharps a little high and flats a little low, on the way to pure fifths.")
    if cents <= FIFTH_CENTS + TOWARDS_CENTS:
        return _("This player places the notes close to pure fifths: sharps high, flats low.")
    return _("This player places sharps higher and flats lower than pure fifths have them.")


def pitch_habits(result: dict, score: Score) -> list[Habit]:
    """The groups of an analysis document, in its order; empty for documents made before there were any."""
    found = (result.get("intonation") or {}).get("tendencies") or []
    return [Habit(name, _deviation(group)) for group in found for name in _names(group, score)]


def _names(group: dict, score: Score) -> Iterator[str]:
    if group["group"] == "approach":
        yield _APPROACHES[group["name"]]()
    elif group["group"] == "degree":
        yield _DEGREES[int(group["name"])]()
    elif group["group"] == "register":
        low, high = (pitch_words(sounded_name(score, group[end])) for end in ("low_midi", "high_midi"))
        notes = {"low": _("Low notes"), "middle": _("Middle notes"), "high": _("High notes")}[group["name"]]
        yield _("%(notes)s (%(low)s to %(high)s)") % {"notes": notes, "low": low, "high": high}
    elif group["group"] == "string":
        open_string = PitchName(sounded_name(score, group["low_midi"]).letter, 0)
        yield _("From the open %(string)s to the next string") % {"string": pitch_words(open_string)}


def _deviation(group: dict) -> str:
    cents, count = group["deviation_cents"], group["note_count"]
    notes = ngettext("%(n)d note", "%(n)d notes", count) % {"n": count}
    if abs(cents) < AUDIBLE_CENTS:
        return _("in place (%(notes)s)") % {"notes": notes}
    words = _("%(cents)d cents high (%(notes)s)") if cents > 0 else _("%(cents)d cents low (%(notes)s)")
    return words % {"cents": round(abs(cents)), "notes": notes}
