"""Onsets and offsets on the fine grid, near where the alignment put them.

An onset is the strongest rise of the spectrum near the aligned time; an offset is where the level has
fallen for good before the next note, or the next note's onset.
"""

import numpy as np

from .alignment import Segment
from .features import Features

REACH_S = 0.07  # how far an onset may move from the alignment's 23 ms grid
WIDTH_S = 0.035
LEAST_RISE = 0.06  # of the take's usual strong attack; below it the aligned time stays
RELEASE_DB = 9.0  # below the note's own middle level: it is over, and what follows is the room
SMEAR_S = 0.012  # by which the level's window lets a note seem to last longer


def refine(features: Features, segments: tuple[Segment, ...]) -> tuple[np.ndarray, np.ndarray]:
    """(onset_s, offset_s) arrays for segments in played order."""
    step = features.fine_frame_s
    onsets = np.array([_onset(features, s.start_s, step) for s in segments])
    for i in range(1, onsets.size):
        if onsets[i] <= onsets[i - 1] + 0.015:
            onsets[i] = max(segments[i].start_s, onsets[i - 1] + 0.02)
    offsets = np.empty_like(onsets)
    for i, segment in enumerate(segments):
        limit = onsets[i + 1] if i + 1 < onsets.size else max(segment.end_s, onsets[i] + 0.03) + 0.15
        until = min(max(segment.end_s + 0.1, onsets[i] + 0.03), limit)
        offsets[i] = _offset(features, onsets[i], until, step)
    return onsets, offsets


def _onset(features: Features, time_s: float, step: float) -> float:
    first = max(int((time_s - REACH_S) / step), 0)
    last = min(int((time_s + REACH_S) / step) + 1, features.fine_novelty.size)
    if last - first < 3:
        return time_s
    window = features.fine_novelty[first:last]
    times = np.arange(first, last) * step
    weighted = window * np.exp(-0.5 * ((times - time_s) / WIDTH_S) ** 2)
    best = int(weighted.argmax())
    if window[best] < LEAST_RISE:
        return time_s
    return float(times[best])


def _offset(features: Features, onset_s: float, until_s: float, step: float) -> float:
    first, last = int(onset_s / step), min(int(until_s / step), features.fine_level_db.size)
    level = features.fine_level_db[first:last]
    if level.size < 4:
        return until_s
    middle = float(np.percentile(level, 70))
    sounding = np.flatnonzero(level > middle - RELEASE_DB)
    end = (first + sounding[-1] + 1) * step
    # a note that still sounds at the limit goes on to it
    return float(until_s if end >= until_s - 2 * step else max(end - SMEAR_S, onset_s + step))
