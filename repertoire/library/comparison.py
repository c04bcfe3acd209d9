"""What a corrected score changes, bar by bar and in words; bars are the same when their printed label is."""

from collections.abc import Iterator
from difflib import SequenceMatcher

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from repertoire.library.fit import sounding_words
from repertoire.notation.order.forms import describe, play
from repertoire.notation.score import Measure, Note, Score
from repertoire.notation.sentence import PitchName
from repertoire.show.wording import key_name, metre_name, value_name
from repertoire.wording.pitch_names import pitch_words
from repertoire.words import bars_named

ORDINALS = (
    gettext_lazy("first"),
    gettext_lazy("second"),
    gettext_lazy("third"),
    gettext_lazy("fourth"),
    gettext_lazy("fifth"),
    gettext_lazy("sixth"),
    gettext_lazy("seventh"),
    gettext_lazy("eighth"),
)
MARKS = ("trill", "tremolo", "fermata", "staccato", "accent", "tenuto", "slurred_to_next")
MOST_NOTES_NAMED = 4  # more changed notes in one bar are counted, not listed


def changes_between(old: Score, new: Score) -> list[str]:
    """One sentence a change; empty where the music says the same."""
    return [*_of_the_whole(old, new), *_of_the_bars(old, new)]


def labels(score: Score) -> list[tuple[str, int]]:
    """Each bar's printed label, counted where it comes more than once."""
    seen: dict[str, int] = {}
    found = []
    for measure in score.measures:
        seen[measure.number] = seen.get(measure.number, 0) + 1
        found.append((measure.number, seen[measure.number]))
    return found


def same_bars(old: Score, new: Score) -> dict[int, int]:
    """Old bar index to new, for the labels both have."""
    places = {label: index for index, label in enumerate(labels(new))}
    return {index: places[label] for index, label in enumerate(labels(old)) if label in places}


def _of_the_whole(old: Score, new: Score) -> Iterator[str]:
    orders = describe(play(old)), describe(play(new))
    if orders[0] != orders[1]:
        yield _("The order of play is now %(new)s, was %(old)s.") % {"new": orders[1], "old": orders[0]}
    tempos = [[(m.measure_index, m.bpm, m.beat_unit_q, m.text) for m in s.tempo_marks] for s in (old, new)]
    if tempos[0] != tempos[1]:
        yield _("The printed tempo marks differ. The tempo kept for this music stays as it is.")
    if old.transposition != new.transposition:
        yield _("The part now %(new)s; before, it %(old)s.") % {
            "new": sounding_words(new.transposition),
            "old": sounding_words(old.transposition),
        }


def _of_the_bars(old: Score, new: Score) -> Iterator[str]:
    same = same_bars(old, new)
    gone = tuple(bar.number for bar in old.measures if bar.index not in same)
    added = tuple(bar.number for bar in new.measures if bar.index not in set(same.values()))
    if gone:
        yield ngettext("%(bars)s is no longer there.", "%(bars)s are no longer there.", len(gone)) % {
            "bars": bars_named(gone)
        }
    if added:
        yield ngettext("%(bars)s is new.", "%(bars)s are new.", len(added)) % {"bars": bars_named(added)}
    for before, after in same.items():
        differences = list(_of_bar(old, old.measures[before], new, new.measures[after]))
        if differences:
            yield _("Bar %(bar)s: %(what)s.") % {
                "bar": new.measures[after].number,
                "what": "; ".join(differences),
            }


def _of_bar(old: Score, before: Measure, new: Score, after: Measure) -> Iterator[str]:
    for name in (metre_name, key_name):
        if name(before) != name(after):
            yield _("now %(new)s, was %(old)s") % {"new": name(after), "old": name(before)}
    notes = old.notes_in(before.index), new.notes_in(after.index)
    if [_place(n) for n in notes[0]] != [_place(n) for n in notes[1]]:
        yield from _of_the_notes(*notes)
    elif _marks(old, before) != _marks(new, after):
        yield _("slurs, dynamics or signs on the notes differ")


def _of_the_notes(old: tuple[Note, ...], new: tuple[Note, ...]) -> Iterator[str]:
    if len(old) != len(new):
        counted = ngettext("%(count)d note now", "%(count)d notes now", len(new)) % {"count": len(new)}
        yield _("%(counted)s, %(before)d before") % {"counted": counted, "before": len(old)}
        kept = SequenceMatcher(a=[n.midi for n in old], b=[n.midi for n in new], autojunk=False)
        fresh = [
            n for tag, _a, _b, i, j in kept.get_opcodes() if tag in ("insert", "replace") for n in new[i:j]
        ]
        if 0 < len(fresh) <= MOST_NOTES_NAMED:
            yield _("new: %(notes)s") % {"notes": ", ".join(_pitch(n) for n in fresh)}
        return
    differing = [k for k, pair in enumerate(zip(old, new, strict=True)) if _place(pair[0]) != _place(pair[1])]
    if len(differing) > MOST_NOTES_NAMED:
        yield _("%(count)d of its %(all)d notes are changed") % {"count": len(differing), "all": len(new)}
        return
    for k in differing:
        yield _of_note(k, old[k], new[k])


def _of_note(place: int, old: Note, new: Note) -> str:
    which = _the_note(place)
    if old.written != new.written:
        octaves = old.written_octave != new.written_octave
        return _("%(which)s is now %(new)s, was %(old)s") % {
            "which": which,
            "new": _pitch(new, octaves),
            "old": _pitch(old, octaves),
        }
    if old.duration_q != new.duration_q:
        return _("%(which)s is now %(new)s, was %(old)s") % {
            "which": which,
            "new": value_name(new.duration_q),
            "old": value_name(old.duration_q),
        }
    if old.midi != new.midi:
        return _("%(which)s sounds at another pitch") % {"which": which}
    return _("%(which)s comes at another place in the bar") % {"which": which}


def _the_note(place: int) -> str:
    if place < len(ORDINALS):
        return _("the %(ordinal)s note") % {"ordinal": ORDINALS[place]}
    return _("note %(number)d") % {"number": place + 1}


def _pitch(note: Note, with_octave: bool = False) -> str:
    return pitch_words(note.written if with_octave else PitchName(note.written_step, note.written_alter))


def _place(note: Note) -> tuple:
    """What makes a note another one."""
    return (round(note.start_q, 4), round(note.duration_q, 4), note.midi, note.written, note.grace)


def _marks(score: Score, bar: Measure) -> tuple:
    notes = [[getattr(note, mark) for mark in MARKS] for note in score.notes_in(bar.index)]
    levels = [(d.start_q, d.text) for d in score.dynamics if d.measure_index == bar.index]
    swells = [(h.kind, h.start_q) for h in score.hairpins if h.start_measure == bar.index]
    return notes, levels, swells
