"""The tempo around each event on a path, for the next pass to expect.

Paces are seconds a quarter, one an event. Nothing is raised.
"""

import itertools

import numpy as np

from recordings.analysis.follow.events import Event
from recordings.analysis.follow.lattice import Step
from recordings.analysis.statistics import weighted_median

REACH_EVENTS, LEAST_NEAR, LEAST_RATES = 12, 5, 4
MOST_OFF = 0.45  # of the natural logarithm, from the whole take's tempo


def local_tempo(path: list[Step], events: tuple[Event, ...], frame_s: float, fallback: float) -> np.ndarray:
    """(events,) seconds a quarter expected at each event: a running median over the path, near the whole's.

    `fallback`, in seconds a quarter, stands for all where the path is too short to tell.
    """
    rates: list[tuple[int, float, float]] = []
    for before, after in itertools.pairwise(path):
        if after.event == before.event + 1:
            length = events[before.event].length_q
            rates.append((before.event, (after.start - before.start) * frame_s / length, length))
    if len(rates) < LEAST_RATES:
        return np.full(len(events), fallback)
    where = np.array([r[0] for r in rates])
    value = np.log(np.array([r[1] for r in rates]))
    weight = np.array([r[2] for r in rates])
    middle = weighted_median(value, weight)
    local = np.full(len(events), middle)
    for k in range(len(events)):
        near = np.abs(where - k) <= REACH_EVENTS
        if near.sum() >= LEAST_NEAR:
            local[k] = weighted_median(value[near], weight[near])
    return np.exp(np.clip(local, middle - MOST_OFF, middle + MOST_OFF))
