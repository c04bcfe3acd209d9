"""What the score page draws of a measured take: bars, notes and tempo, as JSON for its scripts.

Works on the analysis document (`recordings/analysis/`); times are seconds in the take,
deviations cents from the temperament at the take's own tuning.
"""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from recordings.models import Take
from repertoire.notation.score import BadScore, Measure, Score
from repertoire.wording.pitch_names import short_name
from repertoire.wording.words import words

# The pale band of the pitch ribbon where the document names no tolerance: analysis' own default.
TOLERANCE_CENTS = 10.0
MOST_LOUDNESS = 6000  # steps of the curve: twenty minutes
TIMES = (_lazy("first time"), _lazy("second time"), _lazy("third time"), _lazy("fourth time"))


def score_data(take: Take) -> dict:
    """JSON for the page's scripts; without a measurement its lists are empty and only playback works."""
    result = take.analysis.result or {}
    requirement = take.requirement
    names = NoteNames(requirement.excerpt.score)
    return {
        "bars": [
            {
                "position": bar["position"],
                "measure": bar["measure_id"],
                "bar": bar["bar"],
                "pass": bar["pass"],
                "start_s": bar["start_s"],
                "end_s": bar["end_s"],
                "left": bar.get("attempt_left", False),
            }
            for bar in result.get("bars", [])
        ],
        "notes": [_note(note, names) for note in result.get("notes", [])],
        "tempo": [
            {"position": bar["position"], "bpm": bar["bpm"], "confidence": bar["confidence"]}
            for bar in result.get("tempo", {}).get("bars", [])
        ],
        "marked_bpm": float(requirement.marked_bpm),
        "low_bpm": float(requirement.low_bpm),
        "high_bpm": float(requirement.high_bpm),
        "tolerance_cents": tolerance_of(result),
        # Printed bars that were to be played, so that a bar not heard can say so.
        "asked": sorted({measure.measure_id for measure in _asked(take)}),
        "printed": {measure.measure_id: measure.number for measure in requirement.excerpt.score.measures},
        "loudness": _loudness(result),
        "words": score_words(),
    }


def _loudness(result: dict) -> dict:
    """The curve under the bar lines that can be moved; none for takes so long that it would weigh."""
    curve = result.get("dynamics", {}).get("curve_lufs", [])
    step_s = result.get("dynamics", {}).get("curve_step_s", 0.0)
    return {"step_s": step_s, "lufs": curve if len(curve) <= MOST_LOUDNESS else []}


def _asked(take: Take) -> list[Measure]:
    requirement = take.requirement
    try:
        form = requirement.form
    except BadScore:  # measured before a correction, by which bars are asked for that this music lacks
        form = requirement.excerpt.form(with_repeats=requirement.with_repeats)
    return [form.score.measures[bar.measure_index] for bar in form.bars]


def score_words() -> dict:
    """The sentences the scripts fill in; names in braces are theirs."""
    return {
        "pitch": _("Pitch, note by note"),
        "pulse": _("Pulse, bar by bar"),
        "pitch_label": _("pitch"),
        "pulse_label": _("pulse"),
        "place": _("Bar {bar}, beat {beat}, {name}:"),
        "high": _("{cents} cents high"),
        "low": _("{cents} cents low"),
        "even": _("in tune"),
        "unsure": _("not sure, please listen"),
        "missing": _("not heard"),
        "wrong": _("another note heard"),
        "wrong_as": _("heard as {heard}"),
        "unjudged": _("pitch not judged"),
        "unjudged_why": _("pitch not judged ({reason})"),
        "bar_tempo": _("Bar {bar}: {bpm} beats a minute, {verdict}"),
        "below": _("below the range"),
        "within": _("within the range"),
        "above": _("above the range"),
        "not_heard": _("not heard"),
        "not_asked": _("Bar {bar} is not asked for here."),
        "bar_not_heard": _("Bar {bar} was not heard in this take."),
        "bar": _("bar {bar}"),
        "bar_and_time": _("bar {bar}, {time}"),
        "times": [str(name) for name in TIMES],
        "time": _("time {n}"),
    }


def tolerance_of(result: dict) -> float:
    return float(result.get("settings", {}).get("tolerance_cents") or TOLERANCE_CENTS)


class NoteNames:
    """The names of a score's printed notes by their ids, and of what was heard in their place: "F♯5"."""

    def __init__(self, score: Score) -> None:
        self.score = score
        self.printed = {note.note_id: note for note in score.notes}

    def of(self, note_id: str) -> str:
        return short_name(self.printed[note_id].written) if note_id in self.printed else ""

    def heard(self, note_id: str, sounding_midi: float) -> str:
        """As a player of the part would read it in the bar of this note."""
        bar = self.printed[note_id].measure_index if note_id in self.printed else None
        return short_name(self.score.written_pitch(round(sounding_midi), bar))


def _note(note: dict, names: NoteNames) -> dict:
    heard = note.get("heard_midi")
    return {
        "id": note["note_id"],
        "name": names.of(note["note_id"]),
        "position": note["position"],
        "bar": note["bar"],
        "beat": note["beat"],
        "pass": note["pass"],
        "status": note["status"],
        "heard": None if heard is None else names.heard(note["note_id"], heard),
        "onset_s": note["onset_s"],
        "offset_s": note["offset_s"],
        "cents": note["deviation_cents"],
        "reason": words(note.get("reason")) or None,
    }
