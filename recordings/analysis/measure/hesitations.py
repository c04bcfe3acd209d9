"""Where the music stopped to think: only stops well beyond the local beat. Seconds and quarters.

Limits: common practice, no published source. Nothing is raised.
"""

from dataclasses import dataclass

import numpy as np

from recordings.analysis.follow.events import Event
from recordings.analysis.follow.matched import MatchedForm
from recordings.analysis.measure.anchors import Anchor
from recordings.analysis.measure.printed_tempo import STEADY, PrintedTempo, under
from repertoire.notation.score import Form

HESITATION_LEAST_S = 0.35
HESITATION_BEATS = 0.75  # beyond what the local beat would take


@dataclass(frozen=True, slots=True)
class Hesitation:
    """More time than the local beat asks for between two notes."""

    bar: str
    position: int
    time_s: float
    seconds: float


def hesitations(
    form: Form,
    events: tuple[Event, ...],
    matched: MatchedForm,
    points: list[Anchor],
    printed: tuple[PrintedTempo, ...],
) -> list[Hesitation]:
    """Stops in played order; none under a fermata, where the print slows, or where bars were jumped.

    The local beat is the median of the steps around, eight to each side, at the tempo the form begins with.
    """
    if len(points) < 6:
        return []
    q = np.array([p.q for p in points])
    t = np.array([p.time_s for p in points])
    signs = [under(printed, matched.bars[p.visit].position) for p in points]
    pace = np.array([sign.pace if sign else 1.0 for sign in signs])
    # at the tempo the form begins with, so that a printed change is no stop
    steps_q, steps_t = np.diff(q), np.diff(t) * pace[:-1]
    found = []
    for i in range(steps_q.size):
        if steps_q[i] <= 0 or points[i + 1].visit - points[i].visit > 1:
            continue
        first, last = matched.bars[points[i].visit], matched.bars[points[i + 1].visit]
        sign = signs[i]
        held = sign is not None and sign.kind != STEADY
        if last.position - first.position not in (0, 1) or events[points[i].event].fermata or held:
            continue
        low, high = max(0, i - 8), min(steps_q.size, i + 9)
        around = (steps_q[low:high] > 0) & (np.arange(low, high) != i)
        if around.sum() < 4:
            continue
        rate = float(np.median(steps_t[low:high][around] / steps_q[low:high][around]))
        beat = form.score.measures[first.measure_index].beat_q
        rate /= pace[i]
        extra = t[i + 1] - t[i] - rate * steps_q[i]
        if extra > max(HESITATION_LEAST_S, HESITATION_BEATS * beat * rate):
            found.append(Hesitation(last.bar, last.position, float(t[i] + rate * steps_q[i]), float(extra)))
    return found
