"""What the recorder in the page needs to know of a requirement."""

import math
from dataclasses import dataclass

from studio.models import Requirement

LEAST_BEATS = 3  # a shorter bar is counted twice
TOLERANCE_Q = 1e-6


@dataclass(frozen=True, slots=True)
class CountIn:
    """`clicks` at `bpm`, the first of each `bar_beats` accented; the music begins `lead_beats` later."""

    bpm: float
    bar_beats: int
    clicks: int
    lead_beats: float


def count_in(requirement: Requirement) -> CountIn:
    """A whole bar, or two short ones, and the beats before an upbeat, at the marked tempo.

    Counted in the unit of the mark where it divides the bar, else in the beat of the metre.
    """
    first = requirement.excerpt.score.measures[requirement.order[0]]
    bar_q = 4.0 * first.beats / first.beat_type
    unit_q = requirement.beat_unit_q
    if abs(bar_q / unit_q - round(bar_q / unit_q)) > TOLERANCE_Q:
        unit_q = first.beat_q
    bpm = float(requirement.marked_bpm) * requirement.beat_unit_q / unit_q
    bars = 1 if bar_q / unit_q >= LEAST_BEATS else 2
    before_upbeat_q = max(bar_q - first.length_q, 0.0)
    lead_beats = (bars * bar_q + before_upbeat_q) / unit_q
    clicks = math.ceil(lead_beats - TOLERANCE_Q)
    return CountIn(round(bpm, 1), max(round(bar_q / unit_q), 1), clicks, round(lead_beats, 4))
