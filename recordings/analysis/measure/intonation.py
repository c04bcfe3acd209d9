"""Deviation of each note from its place in the chosen temperament, at the take's own tuning.

Literature for the limits used here: differences under about 5 cents are not heard and players do not
agree beyond about 10; leading notes are played high on purpose (see the accuracy notes of the project).

Cents of equal temperament; arrays one entry a note. Just and Pythagorean places are built on the tonic.
Nothing is raised; a note without a clear pitch has no deviation.
"""

import itertools
from collections import defaultdict
from dataclasses import dataclass, replace

import numpy as np

from recordings.analysis.follow.note_result import PLAYED, NoteResult
from recordings.analysis.measure.tendencies import LEAP_SEMITONES, Tendency, clear_tendencies, groups
from recordings.analysis.sound.tuning import Tuning, from_notes
from recordings.analysis.statistics import robust_spread, weighted_median

MOST_CENTS = 50.0
CONFIDENT = 0.5  # notes below take no part in tuning or findings
# cents above the tonic for each semitone; equal minus these gives the offsets. Ratios: 16/15 9/8 6/5 5/4
# 4/3 45/32 3/2 8/5 5/3 16/9 15/8 and the chain of pure fifths.
JUST = (
    0.0,
    111.731,
    203.910,
    315.641,
    386.314,
    498.045,
    590.224,
    701.955,
    813.686,
    884.359,
    996.090,
    1088.269,
)
PYTHAGOREAN = (
    0.0,
    90.225,
    203.910,
    294.135,
    407.820,
    498.045,
    611.730,
    701.955,
    792.180,
    905.865,
    996.090,
    1109.775,
)


@dataclass(frozen=True, slots=True)
class PitchTendency:
    """One printed pitch through the take; cents are medians over `note_count` confident notes."""

    midi: int
    deviation_cents: float
    spread_cents: float
    note_count: int


@dataclass(frozen=True, slots=True)
class Intonation:
    """Figures over confident notes, each counted by its length up to a second; cents.

    None where nothing is judged or fewer than five notes speak.
    """

    judged: bool
    note_count: int  # confident notes measured
    within_tolerance_share: float | None
    median_abs_cents: float | None
    mean_abs_cents: float | None  # each deviation counted up to `MOST_CENTS`
    ascending_cents: float | None  # median deviation when approached from below
    descending_cents: float | None
    leap_cents: float | None  # median absolute deviation after a leap of a fourth or more
    step_cents: float | None
    pitches: tuple[PitchTendency, ...]
    tendencies: tuple[Tendency, ...] = ()


def temperament_offset(midi: int, *, temperament: str, tonic_midi: int | None) -> float:
    """Cents to add to equal temperament for this pitch; 0 without a tonic."""
    if temperament == "equal" or tonic_midi is None:
        return 0.0
    degree = (midi - tonic_midi) % 12
    table = JUST if temperament == "just" else PYTHAGOREAN
    return table[degree] - 100.0 * degree


def leaning_cents(midi: int, *, temperament: str, tonic_midi: int) -> float:
    """How far, and which way, a player leaning on pure fifths places this pitch beside the chosen system."""
    chosen = temperament_offset(midi, temperament=temperament, tonic_midi=tonic_midi)
    return temperament_offset(midi, temperament="pythagorean", tonic_midi=tonic_midi) - chosen


def apply(
    notes: tuple[NoteResult, ...], *, temperament: str, tonic_midi: int | None, transposed_semitones: int
) -> tuple[tuple[NoteResult, ...], Tuning]:
    """Find the take's own tuning and give each measured note its deviation against it.

    `notes` in any order; returned in the same. Without a tuning (fewer than three notes) they stay as they
    are.
    """
    measured = [n for n in notes if n.cents_from_printed is not None and n.status == PLAYED]
    trusted = [n for n in measured if n.confidence >= CONFIDENT] or measured
    places = np.array([
        n.printed_cents - temperament_offset(n.midi, temperament=temperament, tonic_midi=tonic_midi)
        for n in trusted
    ])  # fmt: skip
    tuning = from_notes(
        places,
        np.array([n.onset_s for n in trusted]),
        np.array([n.confidence * min(n.ended_s - n.began_s, 1.0) for n in trusted]),
        temperament=temperament,
        transposed_semitones=transposed_semitones,
    )
    reference = tuning.cents_from_440
    if reference is None:
        return notes, tuning
    done = []
    for note in notes:
        if note.cents_from_printed is not None:
            midi = note.heard_midi if note.heard_midi is not None else note.midi
            offset = temperament_offset(midi, temperament=temperament, tonic_midi=tonic_midi)
            note = replace(note, deviation_cents=note.cents_from_printed - offset - reference)
        done.append(note)
    return tuple(done), tuning


def judged(notes: tuple[NoteResult, ...]) -> list[NoteResult]:
    """Played notes whose deviation may be trusted."""
    return [
        n for n in notes
        if n.status == PLAYED and n.deviation_cents is not None and n.confidence >= CONFIDENT
    ]  # fmt: skip


def summarise(
    notes: tuple[NoteResult, ...],
    *,
    intonation_judged: bool,
    tolerance_cents: float,
    tonic_midi: int | None = None,
    open_strings: tuple[int, ...] = (),
) -> Intonation:
    """The figures of one take; `tolerance_cents` to each side counts as in tune.

    `notes` in played order with their deviations; `open_strings` are sounding MIDI numbers.
    """
    trusted = judged(notes) if intonation_judged else []
    if not trusted:
        return Intonation(intonation_judged, 0, None, None, None, None, None, None, None, ())
    cents = np.array([n.deviation_cents for n in trusted])
    weights = np.array([min(n.ended_s - n.began_s, 1.0) for n in trusted])
    up, down, leap, step = _approaches(notes)
    return Intonation(
        True, len(trusted), float(np.average(np.abs(cents) <= tolerance_cents, weights=weights)),
        float(weighted_median(np.abs(cents), weights)),
        float(np.average(np.minimum(np.abs(cents), MOST_CENTS), weights=weights)),
        _median(up), _median(down),
        _median(np.abs(leap)), _median(np.abs(step)), _tendencies(trusted),
        clear_tendencies(groups(notes, trusted, tonic_midi=tonic_midi, open_strings=open_strings)),
    )  # fmt: skip


def _approaches(notes) -> tuple[list[float], list[float], list[float], list[float]]:
    up: list[float] = []
    down: list[float] = []
    leap: list[float] = []
    step: list[float] = []
    for before, note in itertools.pairwise(notes):
        if note.deviation_cents is None or note.status != PLAYED or note.confidence < CONFIDENT:
            continue
        interval = note.midi - before.midi
        if interval:
            (up if interval > 0 else down).append(note.deviation_cents)
            (leap if abs(interval) >= LEAP_SEMITONES else step).append(note.deviation_cents)
    return up, down, leap, step


def _median(values) -> float | None:
    return float(np.median(values)) if len(values) >= 5 else None


def _tendencies(trusted: list[NoteResult]) -> tuple[PitchTendency, ...]:
    by_pitch: dict[int, list[float]] = defaultdict(list)
    for note in trusted:
        by_pitch[note.midi].append(note.off_cents)
    return tuple(
        PitchTendency(
            midi, float(np.median(values)),
            robust_spread(np.array(values)), len(values),
        )
        for midi, values in sorted(by_pitch.items())
    )  # fmt: skip
