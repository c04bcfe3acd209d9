"""How the notes lie against the player's own beat: placing, evenness of runs, long-short patterns."""

from dataclasses import dataclass

import numpy as np

from repertoire.notation.score import Form

from .events import Event
from .heard import Heard
from .tempo import Anchor

REACH_Q = 3.0  # quarters to each side that make the local beat
RUN_LEAST = 6  # notes of one value in a row
RUN_LONGEST_Q = 0.5
DOTTED_PRINTED = 3.0  # a dotted pair: the first three times the second


@dataclass(frozen=True, slots=True)
class NotePlacing:
    """Against the local beat: above 0 late. `beats` is the same in parts of the metre's beat."""

    event: int
    visit: int
    bar: str
    time_s: float
    deviation_ms: float
    deviation_beats: float


@dataclass(frozen=True, slots=True)
class Run:
    """Equal printed values in a row; unevenness is the robust spread of their lengths."""

    bar: str
    end_bar: str
    position: int
    end_position: int
    start_s: float
    end_s: float
    note_count: int
    unevenness_percent: float


@dataclass(frozen=True, slots=True)
class DottedPair:
    bar: str
    position: int
    time_s: float
    ratio: float  # long to short as played; printed 3


@dataclass(frozen=True, slots=True)
class Rhythm:
    spread_ms: float | None  # robust spread of all placings
    spread_beats: float | None
    placings: tuple[NotePlacing, ...]
    runs: tuple[Run, ...]
    dotted: tuple[DottedPair, ...]


def measure(form: Form, events: tuple[Event, ...], heard: Heard, points: list[Anchor]) -> Rhythm:
    placings = _placings(form, heard, points)
    spread_ms = spread_beats = None
    if len(placings) >= 8:
        ms = np.array([p.deviation_ms for p in placings])
        beats = np.array([p.deviation_beats for p in placings])
        spread_ms = float(1.4826 * np.median(np.abs(ms - np.median(ms))))
        spread_beats = float(1.4826 * np.median(np.abs(beats - np.median(beats))))
    return Rhythm(
        spread_ms, spread_beats, tuple(placings), tuple(_runs(events, heard, points)),
        tuple(_dotted(events, heard, points)),
    )  # fmt: skip


def _placings(form: Form, heard: Heard, points: list[Anchor]) -> list[NotePlacing]:
    if len(points) < 8:
        return []
    q = np.array([p.q for p in points])
    t = np.array([p.time_s for p in points])
    found = []
    for i, point in enumerate(points):
        low, high = np.searchsorted(q, q[i] - REACH_Q), np.searchsorted(q, q[i] + REACH_Q, side="right")
        near = np.r_[low:i, i + 1 : high]
        if near.size < 5 or np.ptp(q[near]) <= 0:
            continue
        weights = np.maximum(1 - np.abs(q[near] - q[i]) / (REACH_Q + 0.5), 0.05)
        slope, offset = np.polyfit(q[near] - q[i], t[near], 1, w=np.sqrt(weights))
        if slope <= 0:
            continue
        bar = heard.bars[point.visit]
        beat_q = form.score.measures[bar.measure_index].beat_q
        late = t[i] - offset
        found.append(
            NotePlacing(point.event, point.visit, bar.bar, float(t[i]), 1000 * late, late / slope / beat_q)
        )
    return found


def _runs(events: tuple[Event, ...], heard: Heard, points: list[Anchor]) -> list[Run]:
    runs: list[Run] = []
    start = 0
    for i in range(1, len(points) + 1):
        if i < len(points) and _goes_on(events, points, start, i):
            continue
        if i - start >= RUN_LEAST:
            runs.append(_run(heard, points[start:i]))
        start = i
    return runs


def _goes_on(events: tuple[Event, ...], points: list[Anchor], start: int, i: int) -> bool:
    before, point = points[i - 1], points[i]
    value = events[points[start].event].length_q
    same = abs(events[point.event].length_q - value) < 1e-3 and value <= RUN_LONGEST_Q + 1e-3
    # long runs are told apart by the four bars or so
    return same and point.event == before.event + 1 and point.visit - points[start].visit < 4


def _run(heard: Heard, points: list[Anchor]) -> Run:
    lengths = np.diff([p.time_s for p in points])
    at = np.arange(lengths.size)
    trend = np.polyval(np.polyfit(at, lengths, 1), at) if lengths.size > 3 else np.median(lengths)
    spread = 1.4826 * np.median(np.abs(lengths - trend)) / max(np.median(lengths), 1e-3)
    first, last = heard.bars[points[0].visit], heard.bars[points[-1].visit]
    return Run(
        first.bar, last.bar, first.position, last.position, points[0].time_s, points[-1].time_s,
        len(points), float(100 * spread),
    )  # fmt: skip


def _dotted(events: tuple[Event, ...], heard: Heard, points: list[Anchor]) -> list[DottedPair]:
    found = []
    for a, b, c in zip(points, points[1:], points[2:], strict=False):
        if b.event != a.event + 1 or c.event != b.event + 1:
            continue
        first, second = events[a.event].length_q, events[b.event].length_q
        if abs(first / second - DOTTED_PRINTED) > 0.01:
            continue
        short = c.time_s - b.time_s
        if short > 0.02:
            bar = heard.bars[a.visit]
            found.append(DottedPair(bar.bar, bar.position, a.time_s, (b.time_s - a.time_s) / short))
    return found
