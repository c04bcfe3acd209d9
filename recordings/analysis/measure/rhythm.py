"""How the notes lie against the player's own beat: placing, evenness of runs, long-short patterns.

Placings are distances from a straight line fitted to the onsets within `REACH_Q` quarters to each side,
nearer ones weighing more; runs are judged around a polynomial through their own lengths. Milliseconds,
shares of a beat, percent; one entry a note, run or figure. Common practice, no published source, for the
method and its limits. Nothing is raised; with too few notes the spreads are None.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from recordings.analysis.follow.events import Event
from recordings.analysis.follow.matched import MatchedForm
from recordings.analysis.measure.anchors import Anchor
from recordings.analysis.statistics import robust_spread
from repertoire.notation.score import Form

REACH_Q = 3.0  # quarters to each side that make the local beat
RUN_LEAST = 6  # notes of one value in a row
RUN_LONGEST_Q = 0.5
SURE = 0.75  # confidence of an onset that evenness may rest on
# A note off by this share of the middle length is drawn out on purpose, where only so few of a run are.
DRAWN_OUT, SINGLE_SHARE = 0.6, 0.15
NOTES_A_BEND, MOST_BENDS = 8, 5  # the degree of a run's own curve grows with its length
# long to short as printed: dotted, long-short triplet (or 6/8), short before long
PAIRS_PRINTED = (3.0, 2.0, 1 / 3)
PAIR_LONGEST_Q = 2.0  # longer pairs are two notes, not a figure
TRIPLET_Q = (1 / 3, 1 / 6, 2 / 3)


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
    """Equal printed values in a row.

    Unevenness is the robust spread of their lengths in percent of the middle one, less what the attacks
    themselves are blurred by; `sure_count` of the notes have an onset that can be relied on.
    """

    bar: str
    end_bar: str
    position: int
    end_position: int
    start_s: float
    end_s: float
    note_count: int
    unevenness_percent: float
    sure_count: int = 0
    note_s: float = 0.0  # the middle length


@dataclass(frozen=True, slots=True)
class DottedPair:
    """A long and a short note in a row, or the other way about."""

    bar: str
    position: int
    time_s: float
    ratio: float  # first to second as played
    printed: float = 3.0  # first to second as printed: 3, 2 or 1/3


@dataclass(frozen=True, slots=True)
class Triplet:
    """Three equal notes in a row on a beat; shares of their whole time, a third each as printed."""

    bar: str
    position: int
    time_s: float
    shares: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Rhythm:
    """Placings, runs and figures of one take, each in played order."""

    spread_ms: float | None  # robust spread of all placings
    spread_beats: float | None
    placings: tuple[NotePlacing, ...]
    runs: tuple[Run, ...]
    dotted: tuple[DottedPair, ...]
    triplets: tuple[Triplet, ...] = ()


def measure(form: Form, events: tuple[Event, ...], matched: MatchedForm, points: list[Anchor]) -> Rhythm:
    """`points` in played order, as `anchors` gives them."""
    placings = _placings(form, matched, points)
    spread_ms = spread_beats = None
    if len(placings) >= 8:
        ms = np.array([p.deviation_ms for p in placings])
        beats = np.array([p.deviation_beats for p in placings])
        spread_ms = robust_spread(ms)
        spread_beats = robust_spread(beats)
    return Rhythm(
        spread_ms, spread_beats, tuple(placings), tuple(_runs(events, matched, points)),
        tuple(_pairs(events, matched, points)),
        tuple(_triplets(form, events, matched, points)),
    )  # fmt: skip


def _placings(form: Form, matched: MatchedForm, points: list[Anchor]) -> list[NotePlacing]:
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
        bar = matched.bars[point.visit]
        beat_q = form.score.measures[bar.measure_index].beat_q
        late = t[i] - offset
        found.append(
            NotePlacing(point.event, point.visit, bar.bar, float(t[i]), 1000 * late, late / slope / beat_q)
        )
    return found


def _runs(events: tuple[Event, ...], matched: MatchedForm, points: list[Anchor]) -> list[Run]:
    runs: list[Run] = []
    start = 0
    for i in range(1, len(points) + 1):
        if i < len(points) and _goes_on(events, points, start, i):
            continue
        if i - start >= RUN_LEAST:
            runs.append(_run(matched, points[start:i]))
        start = i
    return runs


def _goes_on(events: tuple[Event, ...], points: list[Anchor], start: int, i: int) -> bool:
    before, point = points[i - 1], points[i]
    value = events[points[start].event].length_q
    same = abs(events[point.event].length_q - value) < 1e-3 and value <= RUN_LONGEST_Q + 1e-3
    # long runs are told apart by the four bars or so
    return same and point.event == before.event + 1 and point.visit - points[start].visit < 4


def _run(matched: MatchedForm, points: list[Anchor]) -> Run:
    first, last = matched.bars[points[0].visit], matched.bars[points[-1].visit]
    between = list(pairwise(points))
    sure = np.array([min(a.confidence, b.confidence) >= SURE for a, b in between])
    lengths = np.array([b.time_s - a.time_s for a, b in between])
    blurs = np.array([a.blur_s**2 + b.blur_s**2 for a, b in between])
    if sure.sum() < 4:
        sure = np.ones_like(sure)
    # What blurs the two ends of a length adds to their spread by squares; the player's part is the rest.
    uneven_s = float(np.sqrt(max(_unevenness(lengths[sure]) ** 2 - blurs[sure].mean(), 0.0)))
    middle_s = float(np.median(lengths))
    return Run(
        first.bar, last.bar, first.position, last.position, points[0].time_s, points[-1].time_s,
        len(points), 100 * uneven_s / max(middle_s, 1e-3),
        sum(p.confidence >= SURE for p in points), middle_s,
    )  # fmt: skip


def _unevenness(lengths: np.ndarray) -> float:
    """Robust spread in seconds of lengths around their own bend, which is the player's freedom.

    A note or two drawn out (the first of a section, the one leaned on) must not bend it and are left out.
    """
    at = np.arange(lengths.size)
    if lengths.size <= 3:
        return robust_spread(lengths)
    bends = min(1 + lengths.size // NOTES_A_BEND, MOST_BENDS)
    near = np.abs(lengths - np.median(lengths)) <= DRAWN_OUT * np.median(lengths)
    single = 0 < (~near).sum() <= max(2, SINGLE_SHARE * near.size) and near.sum() > bends + 2
    chosen = near if single else np.ones_like(near)
    trend = np.polyval(np.polyfit(at[chosen], lengths[chosen], bends), at)
    return robust_spread((lengths - trend)[chosen], center=0.0)


def _pairs(events: tuple[Event, ...], matched: MatchedForm, points: list[Anchor]) -> list[DottedPair]:
    found = []
    for a, b, c in zip(points, points[1:], points[2:], strict=False):
        if b.event != a.event + 1 or c.event != b.event + 1:
            continue
        first, second = events[a.event].length_q, events[b.event].length_q
        printed = next((p for p in PAIRS_PRINTED if abs(first / second - p) < 0.01 * p), None)
        if printed is None or first + second > PAIR_LONGEST_Q + 1e-3:
            continue
        second_s = c.time_s - b.time_s
        if second_s > 0.02 and b.time_s - a.time_s > 0.02:
            bar = matched.bars[a.visit]
            ratio = (b.time_s - a.time_s) / second_s
            found.append(DottedPair(bar.bar, bar.position, a.time_s, ratio, printed))
    return found


def _triplets(
    form: Form, events: tuple[Event, ...], matched: MatchedForm, points: list[Anchor]
) -> list[Triplet]:
    """Groups of three that begin on a multiple of their own length in a metre whose beat is not in three."""
    found = []
    for group in zip(points, points[1:], points[2:], points[3:], strict=False):
        bar = matched.bars[group[0].visit]
        length = events[group[0].event].length_q
        beat_q = form.score.measures[bar.measure_index].beat_q
        begins = (events[group[0].event].start_q - form.bars[bar.position].start_q) / (3 * length)
        if (
            min(abs(length - value) for value in TRIPLET_Q) > 1e-3
            or abs(begins - round(begins)) > 1e-3
            or abs(beat_q - 1.5) < 1e-3
            or any(b.event != a.event + 1 for a, b in pairwise(group))
            or any(abs(events[p.event].length_q - length) > 1e-3 for p in group[1:3])
        ):
            continue
        lengths = np.diff([p.time_s for p in group])
        first, second, third = (round(float(share), 4) for share in lengths / lengths.sum())
        found.append(Triplet(bar.bar, bar.position, group[0].time_s, (first, second, third)))
    return found
