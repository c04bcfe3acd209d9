"""What is said to the player of an exercise: a few findings with their bars, the tempo; no mark, no score."""

from dataclasses import dataclass
from typing import Literal

from recordings.jobs.unusable import unusable
from recordings.models import Analysis, SightReading
from recordings.models.remark import spans_of

MOST_TOLD = 5  # more than five things at once nobody hears
# Reading at sight is about notes, rhythm and going on; the rest is for music that has been learnt.
TOLD = {
    *("wrong_note", "missing_note", "restart", "hesitation", "left_out", "began_late", "stopped_early"),
    *("rushing", "dragging", "tempo_stretch", "dotted", "triplets", "uneven_run"),
    *("opening", "intonation_habit"),
}
NEAR_TEMPO = 0.05  # a beat or two in a minute nobody feels; common practice, no published source
WELL_DONE = 0.95  # of the notes


@dataclass(frozen=True, slots=True)
class Told:
    """`unusable` says why nothing can be told; `calm`: nearly every note was heard as printed.

    `pace`: the tempo beside the printed one; it has one sentence of its own, no finding beside it.
    """

    findings: tuple[dict, ...] = ()
    bpm: float | None = None
    unusable: str = ""
    went_on: bool = False
    calm: bool = False
    pace: Literal["slower", "near", "faster"] = "near"


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
    bpm = result["tempo"]["metronome_bpm"]
    return Told(
        findings=tuple(_shown(one) for one in faults[:MOST_TOLD]),
        bpm=bpm,
        pace=_pace(bpm, reading.bpm) if bpm else "near",
        went_on=bool(form["complete"]) and not kinds & {"restart", "hesitation"},
        calm=bool(form["note_count"]) and right / form["note_count"] >= WELL_DONE and form["complete"],
    )


def _pace(bpm: float, printed_bpm: int) -> Literal["slower", "near", "faster"]:
    if abs(bpm / printed_bpm - 1) <= NEAR_TEMPO:
        return "near"
    return "slower" if bpm < printed_bpm else "faster"


def _shown(finding: dict) -> dict:
    spans = spans_of(finding, finding["start_s"], finding["end_s"])
    return {"text": finding["text"], "spans": spans, "bars": finding["bars"]}
