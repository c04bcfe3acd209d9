"""How far an analysis of a demo take lies from what the take is known to hold.

Truth: `fixtures/takes/truth/*.json`, written by the synthesiser. Windows follow mir_eval's note and onset
defaults (50 ms); cents are compared note by note against the take's own A, which is judged apart.
"""

from dataclasses import dataclass

import numpy as np

from repertoire.notation.score import Form
from tests.accuracy.demo.flaws import false_alarms, is_found

ONSET_WINDOW_S = 0.05


@dataclass(frozen=True, slots=True)
class Outcome:
    """One take measured against its truth. None: nothing to compare, or not measured."""

    take: str
    instrument: str
    flaw: str
    wording: str
    onsets_percent: float  # printed notes that sounded, heard within 50 ms
    cents_median: float | None  # of the absolute errors
    cents_p95: float | None
    pitched_percent: float  # printed notes that sounded and were given cents
    tempo_percent: float | None  # absolute error of the median tempo
    tuning_cents: float | None  # absolute error of the take's own A
    form_right: bool
    flaw_found: bool | None  # None for a clean take
    false_alarms: int  # faults told that are not there, by kind


def compare(truth: dict, analysis: dict, form: Form) -> Outcome:
    """Hold the analysis document of one take to its truth document; `form` is the required form."""
    sounded = _sounded(truth, form)
    detected = {(note["position"], note["note_id"]): note for note in analysis["notes"]}
    within = [_is_within(detected.get(key), notes) for key, notes in sounded.items()]
    errors = [error for key, notes in sounded.items() for error in _cents_error(detected.get(key), notes)]
    clean = truth["flaw"] == "none"
    played_right = [key for key, notes in sounded.items() if notes[-1]["status"] == "played"]
    return Outcome(
        take=truth["take"],
        instrument=truth["instrument"],
        flaw=truth["flaw"],
        wording=truth["said"],
        onsets_percent=100.0 * float(np.mean(within)),
        cents_median=float(np.median(errors)) if errors else None,
        cents_p95=float(np.percentile(errors, 95)) if errors else None,
        pitched_percent=100.0 * len(errors) / len(played_right),
        tempo_percent=_tempo_error(truth, analysis),
        tuning_cents=_tuning_error(truth, analysis),
        form_right=form_is_right(truth, analysis),
        flaw_found=None if clean else is_found(truth, analysis),
        false_alarms=false_alarms(truth, analysis),
    )


def _sounded(truth: dict, form: Form) -> dict[tuple[int, str], list[dict]]:
    """What sounded, by (position, note id); a bar started again gives a note two soundings."""
    sounded: dict[tuple[int, str], list[dict]] = {}
    for row in truth["notes"]:
        note = dict(zip(truth["note_columns"], row, strict=True))
        printed = form.notes[note["index"]]
        sounded.setdefault((printed.position, printed.note.note_id), []).append(note)
    return sounded


def _nearest(detected: dict, notes: list[dict]) -> dict:
    return min(notes, key=lambda note: abs(note["onset_s"] - detected["onset_s"]))


def _is_within(detected: dict | None, notes: list[dict]) -> bool:
    if detected is None or detected["onset_s"] is None:
        return False
    return abs(_nearest(detected, notes)["onset_s"] - detected["onset_s"]) <= ONSET_WINDOW_S


def _cents_error(detected: dict | None, notes: list[dict]) -> list[float]:
    """The absolute error in cents of a note that was played right and given cents; else nothing."""
    if detected is None or detected["onset_s"] is None or detected["deviation_cents"] is None:
        return []
    note = _nearest(detected, notes)
    return [abs(detected["deviation_cents"] - note["cents"])] if note["status"] == "played" else []


def _tempo_error(truth: dict, analysis: dict) -> float | None:
    detected = analysis["tempo"]["metronome_bpm"]
    if detected is None:
        return None
    known = float(np.median([bpm for _position, _start_s, _end_s, bpm in truth["bars"]]))
    return 100.0 * abs(detected / known - 1.0)


def _tuning_error(truth: dict, analysis: dict) -> float | None:
    detected = analysis["tuning"]["a4_hz"]
    return None if detected is None else abs(1200.0 * float(np.log2(detected / truth["a4_hz"])))


def form_is_right(truth: dict, analysis: dict) -> bool:
    """The printed bars in the order they sounded, no other, and every restart at its bar."""
    restarts = [again["bar"] for again in analysis["form"]["restarts"]]
    reported = analysis["form"]["bars_played"]
    return reported == truth["bars_played"] and restarts == [bar for bar, _at_s in truth["restarts"]]
