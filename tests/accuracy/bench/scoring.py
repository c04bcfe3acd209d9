"""How far one analysis lies from what is known of its take.

Definitions. A note counts as found when its onset is told within 50 ms (mir_eval's window for onsets and
notes). Cents are compared absolutely (deviation told plus the tuning told, against A = 440), so that what is
taken as the take's own A cannot hide or make an error. Bars' tempi count where a bar was played and
followed by another; a bar told no tempo counts as missed. A note is claimed though unplayed when more
soundings of a printed note are told as played than sounded. Attempts given up by a restart are not scored.
"""

import io
from dataclasses import dataclass, replace

import numpy as np

from fixtures.sounds.playing import Sounding
from recordings.analysis.measure.intonation import CONFIDENT

from .marks import LoudAndSoft, Vibrato, loud_and_soft, vibrato_of
from .takes import Take

ONSET_WINDOW_S = 0.05
SAME_NOTE_S = 2.0  # farther off, what is told is another pass of the same printed note
TEMPO_WINDOW = 0.03
GROSS_CENTS = 50.0
RIGHT_CENTS = 10.0
# faults no clean take has; intonation is left out, since every take is played some cents astray
NOT_IN_CLEAN_TAKES = (
    "wrong_note", "missing_note", "restart", "hesitation", "left_out", "began_late", "stopped_early",
    "repeat_left_out", "repeat_added", "transposed", "not_recognised", "rushing", "dragging", "uneven_run",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class NoteScore:
    """One note that sounded. `cents_off` None: not told, or another note than printed was played."""

    played_right: bool
    length_s: float
    onset_off_s: float | None  # told minus true
    cents_off: float | None
    confidence: float
    status: str  # as told

    @property
    def on_time(self) -> bool:
        return self.onset_off_s is not None and abs(self.onset_off_s) <= ONSET_WINDOW_S

    @property
    def confident(self) -> bool:
        return self.confidence >= CONFIDENT


@dataclass(frozen=True, slots=True)
class TakeScore:
    take: Take
    notes: tuple[NoteScore, ...]
    unplayed: int
    unplayed_claimed: int
    tempo_bars: int
    tempo_right: int
    median_tempo_off: float | None  # share
    form_right: bool
    form_told: str
    tuning_cents: float | None
    duration_s: float
    cpu_s: float
    marks: LoudAndSoft
    vibrato: tuple[Vibrato, ...] = ()
    faults_told: tuple[str, ...] = ()  # of `NOT_IN_CLEAN_TAKES`
    checks_reported: tuple[str, ...] = ()  # recording checks that are not fine


def score(take: Take, document: dict, *, cpu_s: float) -> TakeScore:
    """Hold the analysis document to the take's truth."""
    reported: dict[str, list[dict]] = {}
    for note in document["notes"]:
        reported.setdefault(note["note_id"], []).append(note)
    counted = _attempts_that_count(take)
    from_440 = document["tuning"]["cents_from_440"] or 0.0
    sounded: dict[str, int] = {}
    scores = []
    for note in counted:
        note_id = take.form.notes[note.index].note.note_id
        sounded[note_id] = sounded.get(note_id, 0) + 1
        scores.append(_note_score(note, reported.get(note_id, []), from_440))
    unplayed, claimed = _unplayed(take, sounded, reported)
    bars, right = _tempo(take, document)
    return TakeScore(
        take=replace(take, file=io.BytesIO()),  # hundreds of scores are kept, their sounds are not
        notes=tuple(scores),
        unplayed=unplayed,
        unplayed_claimed=claimed,
        tempo_bars=bars,
        tempo_right=right,
        median_tempo_off=_median_tempo_off(take, document),
        form_right=_form_right(take, document),
        form_told=document["form"]["text"],
        tuning_cents=document["tuning"]["cents_from_440"],
        duration_s=document["recording"]["duration_s"],
        cpu_s=cpu_s,
        marks=loud_and_soft(take, document),
        vibrato=vibrato_of(take, document) if take.vibrato else (),
        faults_told=tuple(f["kind"] for f in document["findings"] if f["kind"] in NOT_IN_CLEAN_TAKES),
        checks_reported=tuple(c["kind"] for c in document["recording"]["checks"] if c["verdict"] != "fine"),
    )


def _attempts_that_count(take: Take) -> list[Sounding]:
    """The last sounding of each note of the form: an attempt given up is played again."""
    return list({note.index: note for note in take.truth.notes}.values())


def _note_score(note: Sounding, reported: list[dict], from_440: float) -> NoteScore:
    right, length_s = note.status == "played", note.offset_s - note.onset_s
    timed = [one for one in reported if one["onset_s"] is not None]
    near = min(timed, key=lambda one: abs(one["onset_s"] - note.onset_s), default=None)
    if near is None or abs(near["onset_s"] - note.onset_s) > SAME_NOTE_S:
        return NoteScore(right, length_s, None, None, 0.0, "missing")
    cents = near["deviation_cents"]
    off = None if cents is None or not right else cents + from_440 - note.cents
    onset_off_s = near["onset_s"] - note.onset_s
    return NoteScore(right, length_s, onset_off_s, off, near["confidence"], near["status"])


def _unplayed(take: Take, sounded: dict[str, int], reported: dict[str, list[dict]]) -> tuple[int, int]:
    printed: dict[str, int] = {}
    for note in take.form.notes:
        printed[note.note.note_id] = printed.get(note.note.note_id, 0) + 1
    unplayed = claimed = 0
    for note_id, count in printed.items():
        left_out = count - sounded.get(note_id, 0)
        wording = sum(one["status"] == "played" for one in reported.get(note_id, []))
        unplayed += left_out
        claimed += min(left_out, max(0, wording - sounded.get(note_id, 0)))
    return unplayed, claimed


def _tempo(take: Take, document: dict) -> tuple[int, int]:
    """Bars whose tempo can be known, and how many of them are told within 3 %."""
    restarted = {position for position, _at_s in take.truth.restarts}
    known = [bar for bar, after in zip(take.truth.bars, take.truth.bars[1:], strict=False)
             if after.position == bar.position + 1 and after.position not in restarted]  # fmt: skip
    right = 0
    for bar in known:
        label = _label(take, bar.position)
        reported = [one for one in document["tempo"]["bars"] if one["bar"] == label]
        near = min(reported, key=lambda one: abs(one["start_s"] - bar.start_s), default=None)
        right += near is not None and abs(near["bpm"] / bar.bpm - 1.0) <= TEMPO_WINDOW
    return len(known), right


def _median_tempo_off(take: Take, document: dict) -> float | None:
    reported = document["tempo"]["metronome_bpm"]
    return (
        None if reported is None else reported / float(np.median([bar.bpm for bar in take.truth.bars])) - 1.0
    )


def _form_right(take: Take, document: dict) -> bool:
    """The printed bars in the order they sounded, no other, and every restart at its bar."""
    played = [_label(take, bar.position) for bar in take.truth.bars]
    restarts = [_label(take, position) for position, _at_s in take.truth.restarts]
    reported = document["form"]
    return reported["bars_played"] == played and [again["bar"] for again in reported["restarts"]] == restarts


def _label(take: Take, position: int) -> str:
    return take.form.score.measures[take.form.bars[position].measure_index].number
