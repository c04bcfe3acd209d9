"""Where the music stopped to think: only stops well beyond the local beat. Seconds and quarters.

Limits: common practice, no published source. Nothing is raised.
"""

from collections import defaultdict
from dataclasses import dataclass

import numpy as np

from recordings.analysis.follow.events import Event
from recordings.analysis.follow.matched import MatchedBar, MatchedForm
from recordings.analysis.measure.anchors import Anchor
from recordings.analysis.measure.phrasing import Freedom, freedom_after
from recordings.analysis.measure.printed_tempo import STEADY, PrintedTempo, under
from repertoire.notation.score import Form

HESITATION_LEAST_S = 0.35
HESITATION_BEATS = 0.75  # beyond what the local beat would take
ALIKE = 0.5  # of the time another pass takes at the same place


@dataclass(frozen=True, slots=True)
class Hesitation:
    """More time than the local beat asks for between two notes."""

    bar: str
    position: int
    time_s: float
    seconds: float
    from_s: float = 0.0  # onset of the note before
    begun_again: bool = False  # filled by playing notes before it once more


def hesitations(
    form: Form,
    events: tuple[Event, ...],
    matched: MatchedForm,
    points: list[Anchor],
    printed: tuple[PrintedTempo, ...],
) -> list[Hesitation]:
    """Stops in played order: only what breaks the line.

    None under a fermata, where the print slows, or where bars were jumped; at the end of a section or a
    phrase and around rolled chords only more than these may take; none at a place that takes its time alike
    in another pass. The local beat is the median of the steps around, eight to each side, at the tempo the
    form begins with.
    """
    free = freedom_after(form, events)
    steps = _steps(form, events, matched, points, printed)
    taken: dict[tuple[int, float], list[_Step]] = defaultdict(list)
    for step in steps:
        taken[step.place].append(step)
    return [
        Hesitation(step.bar.bar, step.bar.position, step.due_s, step.extra_s, step.from_s)
        for step in steps
        if step.extra_s > step.allowed_s(free[step.event]) and not _alike(step, taken[step.place])
    ]


@dataclass(frozen=True, slots=True)
class _Step:
    """From one event to the next as it came: when the next was due by the local beat, and how late it was."""

    event: int
    bar: MatchedBar  # in which the next event begins
    place: tuple[int, float]  # in print: measure index, and quarters into it
    from_s: float
    due_s: float
    extra_s: float
    beat_s: float

    def allowed_s(self, may: Freedom) -> float:
        return max(HESITATION_LEAST_S, HESITATION_BEATS * self.beat_s) + may.seconds + may.beats * self.beat_s


def _alike(step: _Step, at_this_place: list[_Step]) -> bool:
    """Whether another pass takes at least half, and no more than twice, this time at the same place."""
    others = [other.extra_s for other in at_this_place if other is not step]
    return any(ALIKE * step.extra_s <= extra <= step.extra_s / ALIKE for extra in others)


def _steps(
    form: Form,
    events: tuple[Event, ...],
    matched: MatchedForm,
    points: list[Anchor],
    printed: tuple[PrintedTempo, ...],
) -> list[_Step]:
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
        first, last = matched.bars[points[i].visit], matched.bars[points[i + 1].visit]
        event, sign = events[points[i].event], signs[i]
        held = event.fermata or (sign is not None and sign.kind != STEADY)
        on = points[i + 1].visit - points[i].visit <= 1 and last.position - first.position in (0, 1)
        low, high = max(0, i - 8), min(steps_q.size, i + 9)
        around = (steps_q[low:high] > 0) & (np.arange(low, high) != i)
        if steps_q[i] <= 0 or held or not on or around.sum() < 4:
            continue
        rate = float(np.median(steps_t[low:high][around] / steps_q[low:high][around])) / pace[i]
        due_s = float(t[i] + rate * steps_q[i])
        beat_s = form.score.measures[first.measure_index].beat_q * rate
        place = (first.measure_index, round(event.start_q - form.bars[first.position].start_q, 3))
        found.append(_Step(event.index, last, place, float(t[i]), due_s, float(t[i + 1]) - due_s, beat_s))
    return found
