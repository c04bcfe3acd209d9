"""Long notes that sound only for a moment: plucked, or let go at once, where the model expects them to last.

The following prices a note by its printed length and so steps over one that is over in a third of a second.
Here each note stepped over is looked for in the pause where it was due. Segments in and out, seconds.
Nothing is raised.
"""

from itertools import zip_longest

import numpy as np

from recordings.analysis.follow.events import Event
from recordings.analysis.follow.observation import Observations
from recordings.analysis.follow.segments import Segment

LEAST_S = 0.1  # of its pitch, in a row
LEAST_FIT = -1.0  # mean log-fit: this pitch and hardly another
LONG_Q = 1.5  # quarters: shorter notes are heard whole or were not played


def with_notes_cut_short(
    events: tuple[Event, ...],
    segments: tuple[Segment, ...],
    observed: Observations,
    shift: int,
    frame_s: float,
) -> tuple[Segment, ...]:
    """The segments, and between them the long notes stepped over whose pitch sounds where they were due.

    `events` as the segments index them; the end of the take is a pause like others.
    """
    if not segments:
        return segments
    end_s = len(observed.silent) * frame_s
    found: list[Segment] = []
    for segment, after in zip_longest(segments, segments[1:]):
        found.append(segment)
        next_event = after.event if after and not after.jumped else segment.event + 2
        skipped = range(segment.event + 1, min(next_event, len(events)))
        until_s = after.start_s if after else end_s
        if len(skipped) == 1 and events[skipped[0]].length_q >= LONG_Q:
            found += _heard(events[skipped[0]], segment.end_s, until_s, observed, shift, frame_s)
    return tuple(found)


def _heard(
    event: Event, from_s: float, until_s: float, observed: Observations, shift: int, frame_s: float
) -> list[Segment]:
    first, last = round(from_s / frame_s), round(until_s / frame_s)
    base = observed.lowest - shift
    fits = np.max([observed.single[m - base, first:last] for m in event.struck], axis=0, initial=-np.inf)
    sounds = (fits > LEAST_FIT) & (observed.silent[first:last] < 0.5)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], sounds.astype(np.int8), [0]])))
    runs = edges.reshape(-1, 2)
    long_enough = [run for run in runs if (run[1] - run[0]) * frame_s >= LEAST_S]
    if not long_enough:
        return []
    begin, end = long_enough[0]
    fit = float(fits[begin:end].mean())
    return [Segment(event.index, (first + begin) * frame_s, (first + end) * frame_s, False, False, fit, 0.0)]
