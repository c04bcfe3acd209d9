"""Deviation of each note from its place in the chosen temperament, at the take's own tuning.

Literature for the limits used here: differences under about 5 cents are not heard and players do not
agree beyond about 10; leading notes are played high on purpose (see the accuracy notes of the project).

Cents of equal temperament; arrays one entry a note. `temperaments` gives the places.
Nothing is raised; a note without a clear pitch has no deviation.
"""

import itertools
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from recordings.analysis.follow.note_result import PLAYED, NoteResult
from recordings.analysis.measure.temperaments import EQUAL, Leaning, leaning, offset_cents
from recordings.analysis.measure.tendencies import LEAP_SEMITONES, Tendency, clear_tendencies, groups
from recordings.analysis.sound.tuning import Tuning, from_notes
from recordings.analysis.statistics import robust_spread, weighted_median

MOST_CENTS = 50.0
CONFIDENT = 0.5  # evidence; notes below take no part in tuning or findings


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
    leaning: Leaning | None = None  # the player's own system, where it can be known


def apply(
    notes: tuple[NoteResult, ...], *, temperament: str, keynote: int | None, transposed_semitones: int
) -> tuple[tuple[NoteResult, ...], Tuning]:
    """Find the take's own tuning and give each measured note its deviation against it.

    `notes` in any order; returned in the same. Without a tuning (fewer than three notes) they stay as they
    are.
    """
    measured = [n for n in notes if n.cents_from_printed is not None and n.status == PLAYED]
    trusted = [n for n in measured if n.evidence >= CONFIDENT] or measured
    places = np.array([
        n.printed_cents - offset_cents(n.fifths, temperament=temperament, keynote=keynote)
        for n in trusted
    ])  # fmt: skip
    tuning = from_notes(
        places,
        np.array([n.onset_s for n in trusted]),
        np.array([n.evidence * min(n.ended_s - n.began_s, 1.0) for n in trusted]),
        temperament=temperament,
        transposed_semitones=transposed_semitones,
    )
    reference = tuning.cents_from_440
    if reference is None:
        return notes, tuning
    done = []
    for note in notes:
        if note.cents_from_printed is not None:
            offset = offset_cents(note.fifths, temperament=temperament, keynote=keynote)
            note = replace(note, deviation_cents=note.cents_from_printed - offset - reference)
        done.append(note)
    return tuple(done), tuning


def judged(notes: tuple[NoteResult, ...]) -> list[NoteResult]:
    """Played notes whose deviation may be trusted."""
    return [
        n for n in notes
        if n.status == PLAYED and n.deviation_cents is not None and n.evidence >= CONFIDENT
    ]  # fmt: skip


def summarise(
    notes: tuple[NoteResult, ...],
    *,
    intonation_judged: bool,
    tolerance_cents: float,
    keynote: int | None = None,
    temperament: str = EQUAL,
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
        clear_tendencies(groups(notes, trusted, keynote=keynote, open_strings=open_strings)),
        _leaning(trusted, temperament, keynote),
    )  # fmt: skip


def _leaning(trusted: list[NoteResult], temperament: str, keynote: int | None) -> Leaning | None:
    cents = [n.off_cents + offset_cents(n.fifths, temperament=temperament, keynote=keynote) for n in trusted]
    return leaning(np.array([n.fifths for n in trusted]), np.array(cents))


def _approaches(notes: Iterable[NoteResult]) -> tuple[list[float], list[float], list[float], list[float]]:
    up: list[float] = []
    down: list[float] = []
    leap: list[float] = []
    step: list[float] = []
    for before, note in itertools.pairwise(notes):
        if note.deviation_cents is None or note.status != PLAYED or note.evidence < CONFIDENT:
            continue
        interval = note.midi - before.midi
        if interval:
            (up if interval > 0 else down).append(note.deviation_cents)
            (leap if abs(interval) >= LEAP_SEMITONES else step).append(note.deviation_cents)
    return up, down, leap, step


def _median(values: Sequence[float] | np.ndarray) -> float | None:
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
