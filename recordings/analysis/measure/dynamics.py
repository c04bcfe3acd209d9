"""Loud and soft inside one take: notes against each other, never against an absolute scale.

A phone's microphone knows no absolute level, and its automatic gain may flatten what was played; a
very small range is said to be possibly the phone's doing.

Notes are compared by their RMS level in dB; the curve and the range of the whole take are loudness by
`recording.loudness`. Nothing is raised; with too few notes the figures are None.
"""

from dataclasses import dataclass

import numpy as np

from recordings.analysis.follow.note_result import PLAYED, NoteResult
from recordings.analysis.recording import loudness
from repertoire.notation.score import Form, PlayedBar

CURVE_STEP_S = 0.2
HAIRPIN_LEAST_NOTES = 3
HAIRPIN_LEAST_DB = 2.0  # rise or fall that listeners follow; common practice, no published source
FLAT_RANGE_DB = 4.0
ACCENT_REACH = 3  # neighbours to each side


@dataclass(frozen=True, slots=True)
class HairpinMeasured:
    """A printed crescendo or diminuendo, and the change (dB) of a straight line through its notes' levels.

    Seconds of the take; `position` of its first bar in the form.
    """

    kind: str
    bars: str
    bar_list: tuple[str, ...]
    position: int
    start_s: float
    end_s: float
    change_db: float
    heard: str  # "rose", "fell", "flat"
    note_count: int
    first_note_id: str = ""
    last_note_id: str = ""
    first_db: float | None = None  # the first note against the take's mean
    last_db: float | None = None


@dataclass(frozen=True, slots=True)
class LevelMeasured:
    """Mean loudness from this printed level to the next, against the take's mean."""

    text: str
    bar: str
    position: int
    relative_db: float
    note_count: int


@dataclass(frozen=True, slots=True)
class AccentMeasured:
    """A printed accent: how far (dB) it lies above the middle of its neighbours without one."""

    note_id: str
    bar: str
    position: int
    above_neighbours_db: float


@dataclass(frozen=True, slots=True)
class Dynamics:
    """Levels of one take; `curve_lufs` has a value every `curve_step_s` seconds, None in silence."""

    range_db: float | None  # between the 10th and 90th percentile of the notes
    perhaps_automatic_gain: bool
    curve_step_s: float
    curve_lufs: tuple[float | None, ...]
    hairpins: tuple[HairpinMeasured, ...]
    levels: tuple[LevelMeasured, ...]
    accents: tuple[AccentMeasured, ...]
    loudness_range_lu: float | None = None  # of the whole take, EBU Tech 3342 on short-term loudness


def measure(samples: np.ndarray, form: Form, notes: tuple[NoteResult, ...], *, sample_rate: int) -> Dynamics:
    """`samples`: (samples,) mono, of the whole take; `notes` in played order."""
    played = [n for n in notes if n.loudness_db is not None and n.status == PLAYED and n.evidence > 0.3]
    levels = np.array([n.loudness_db for n in played])
    spread = float(np.percentile(levels, 90) - np.percentile(levels, 10)) if levels.size >= 10 else None
    powers = loudness.weighted_power(samples, sample_rate=sample_rate, step_s=CURVE_STEP_S)
    return Dynamics(
        spread,
        spread is not None and spread < FLAT_RANGE_DB and bool(form.score.dynamics),
        CURVE_STEP_S,
        _curve(powers),
        tuple(_hairpins(form, played)),
        tuple(_levels(form, played)),
        tuple(_accents(form, played)),
        loudness.range_lu(powers, step_s=CURVE_STEP_S),
    )


def _curve(powers: np.ndarray) -> tuple[float | None, ...]:
    if powers.size < 2:
        return ()
    levels = loudness.momentary(np.append(powers, powers[-1]), steps=2)
    return tuple(round(float(v), 1) if v > -90 else None for v in levels)


def _hairpins(form: Form, played: list[NoteResult]) -> list[HairpinMeasured]:
    found = []
    mean = float(np.mean([n.loudness_db for n in played])) if played else 0.0
    for hairpin in form.score.hairpins:
        for bar in form.bars:
            if bar.measure_index != hairpin.start_measure:
                continue
            start = bar.start_q + hairpin.start_q
            last = next(
                (b for b in form.bars[bar.position :] if b.measure_index == hairpin.end_measure), None
            )
            if last is None:
                continue
            end = last.start_q + hairpin.end_q
            # a hairpin drawn to the end of a note stops before the next one
            inside = [n for n in played if start - 1e-3 <= n.start_q < end - 1e-3]
            if len(inside) >= HAIRPIN_LEAST_NOTES:
                found.append(_hairpin(form, hairpin.kind, bar, last, inside, mean))
    return found


def _hairpin(
    form: Form, kind: str, first: PlayedBar, last: PlayedBar, inside: list[NoteResult], mean_db: float
) -> HairpinMeasured:
    times = np.array([n.onset_s for n in inside])
    slope = np.polyfit(times, [n.level_db for n in inside], 1)[0] if np.ptp(times) > 0.05 else 0.0
    # the hairpin goes on to the end of its last note
    change = float(slope * (max(n.ended_s for n in inside) - times.min()))
    heard = "rose" if change >= HAIRPIN_LEAST_DB else "fell" if change <= -HAIRPIN_LEAST_DB else "flat"
    covered = [
        form.score.measures[b.measure_index].number for b in form.bars[first.position : last.position + 1]
    ]
    bars = covered[0] if len(covered) == 1 else f"{covered[0]}-{covered[-1]}"
    return HairpinMeasured(
        kind, bars, tuple(covered), first.position, float(times.min()),
        float(max(n.ended_s for n in inside)), change, heard, len(inside),
        inside[0].note_id, inside[-1].note_id,
        inside[0].level_db - mean_db, inside[-1].level_db - mean_db,
    )  # fmt: skip


def _levels(form: Form, played: list[NoteResult]) -> list[LevelMeasured]:
    if len(played) < 10:
        return []
    mean = float(np.mean([n.loudness_db for n in played]))
    marks = []
    for bar in form.bars:
        marks += [
            (bar.start_q + d.start_q, d.text, bar)
            for d in form.score.dynamics if d.measure_index == bar.measure_index
        ]  # fmt: skip
    marks.sort(key=lambda mark: mark[0])
    found = []
    for i, (start, text, bar) in enumerate(marks):
        end = marks[i + 1][0] if i + 1 < len(marks) else form.length_q + 1
        inside = [n.level_db for n in played if start - 1e-3 <= n.start_q < end - 1e-3]
        if len(inside) >= 3:
            label = form.score.measures[bar.measure_index].number
            found.append(LevelMeasured(text, label, bar.position, float(np.mean(inside)) - mean, len(inside)))
    return found


def _accents(form: Form, played: list[NoteResult]) -> list[AccentMeasured]:
    found = []
    for i, note in enumerate(played):
        if not form.notes[note.form_index].note.accent:
            continue
        around = [
            n.level_db for n in played[max(0, i - ACCENT_REACH) : i + ACCENT_REACH + 1]
            if n is not note and not form.notes[n.form_index].note.accent
        ]  # fmt: skip
        if len(around) >= 2:
            found.append(
                AccentMeasured(
                    note.note_id, note.bar, note.position, note.level_db - float(np.median(around))
                )
            )
    return found
