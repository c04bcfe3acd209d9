"""What is said to the player of an exercise: a few findings with their bars, the tempo; no mark, no score."""

from dataclasses import dataclass

from recordings.jobs.unusable import unusable
from recordings.models import Analysis, SightReading
from recordings.models.remark import spans_of

MOST_TOLD = 5  # more than five things at once nobody hears
# Reading at sight is about notes, rhythm and going on; the rest is for music that has been learnt.
TOLD = {
    *("wrong_note", "missing_note", "restart", "hesitation", "left_out", "began_late", "stopped_early"),
    *("rushing", "dragging", "tempo_stretch", "dotted", "triplets", "uneven_run", "tempo_slow", "tempo_fast"),
    *("opening", "intonation_habit"),
}
WELL_DONE = 0.95  # of the notes


@dataclass(frozen=True, slots=True)
class Told:
    """`unusable` says why nothing can be told; `calm`: nearly every note was heard as printed."""

    findings: tuple[dict, ...] = ()
    bpm: float | None = None
    unusable: str = ""
    went_on: bool = False
    calm: bool = False


def told_of(reading: SightReading) -> Told | None:
    """None until it is measured."""
    result = reading.result
    if not result:
        return None
    reason = unusable(result)
    if reason:
        return Told(unusable=str(Analysis.Unusable(reason).label))
    form = result["form"]
    faults = [one for one in result["findings"] if one["kind"] in TOLD and not one["strength"]]
    kinds = {finding["kind"] for finding in result["findings"]}
    right = form["note_count"] - form["wrong_count"] - form["missing_count"]
    return Told(
        findings=tuple(_shown(one) for one in faults[:MOST_TOLD]),
        bpm=result["tempo"]["metronome_bpm"],
        went_on=bool(form["complete"]) and not kinds & {"restart", "hesitation"},
        calm=bool(form["note_count"]) and right / form["note_count"] >= WELL_DONE and form["complete"],
    )


def _shown(finding: dict) -> dict:
    spans = spans_of(finding, finding["start_s"], finding["end_s"])
    return {"text": finding["text"], "spans": spans, "bars": finding["bars"]}
