"""Which of two notes struck together was another than printed.

Two harmonic combs, the printed ones, are held against every pair in which one of them lies up to a third
away, in the frames of the stop itself (`follow.observation`, log-likelihoods in nats). Only two notes that
begin together and sound alone: in fuller chords too many pitches explain each other. A note that would hide
among the harmonics of the other is never claimed. Nothing is raised.

Limits chosen November 2026 on two seeds of `tests.accuracy.kinds`: of 43 wrong notes in double stops 41 led
by more than 0.35 and all were the pitch played; of 756 right stops, 95 of them in
a real take, one led, by 0.64 (not looked into).
"""

from itertools import product
from typing import NamedTuple

from recordings.analysis.follow import observation
from recordings.analysis.follow.events import Event
from recordings.analysis.follow.segments import Alignment, Segment
from recordings.analysis.sound.features import Features

REACH_SEMITONES = 4
HIDDEN_SEMITONES = (12, 19, 24)  # an octave, a twelfth and two octaves: harmonics of the other
LEAST_FRAMES = 4
STOP_LEAD = 0.35  # mean log-fit by which the other pair must lead
RINGING_EVENTS = 2


class Other(NamedTuple):
    """MIDI numbers, and by how many nats a frame the pair with the other pitch leads."""

    printed: int
    heard: int
    lead: float


def other_note(
    features: Features,
    alignment: Alignment,
    events: tuple[Event, ...],
    segment: Segment,
    *,
    tuning_cents: float,
) -> Other | None:
    """What was played in the place of one of the two, or None where both may be what is printed.

    `tuning_cents`: how far the take's semitones lie above A = 440.
    """
    event = events[segment.event]
    first = int(segment.start_s / features.frame_s)
    last = max(first + 1, round(segment.end_s / features.frame_s))
    if last - first > 3:
        first += 1  # the attack's frame still holds the note before
    if len(event.struck) != 2 or event.struck != event.pitches or event.trill or last - first < LEAST_FRAMES:
        return None
    before = [set(e.struck) for e in events[max(event.index - RINGING_EVENTS, 0) : event.index]]
    rung = [set().union(*before[len(before) - back :]) for back in range(len(before) + 1)]
    spectra = features.spectra[first:last]

    def fit(*pair: int) -> float:
        sets = {tuple(sorted(m + alignment.shift for m in {*pair, *ringing})) for ringing in rung}
        return observation.FIT_WEIGHT * observation.best_of(
            spectra, features.bin_hz, sets, tuning_cents=tuning_cents
        )

    own = fit(*event.struck)
    others = [
        Other(printed, heard, fit(heard, kept) - own) for printed, kept, heard in _others(*event.struck)
    ]
    best = max(others, key=lambda other: other.lead)
    return best if best.lead >= STOP_LEAD else None


def _others(low: int, high: int) -> list[tuple[int, int, int]]:
    """(printed, its companion, the pitch that may have been played instead)."""
    steps = [step for step in range(-REACH_SEMITONES, REACH_SEMITONES + 1) if step]
    return [
        (printed, kept, printed + step)
        for (printed, kept), step in product(((low, high), (high, low)), steps)
        if printed + step not in (low, high) and abs(printed + step - kept) not in HIDDEN_SEMITONES
    ]
