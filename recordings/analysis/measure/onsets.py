"""Onsets and offsets on the fine grid, near where the alignment put them.

An onset is the strongest rise of the spectrum near the aligned time; an offset is where the level has
fallen for good before the next note, or the next note's onset.

The rise is the novelty of `sound.features` (spectral flux, Bello et al. 2005, cited there). Arrays are one
entry a segment in played order, in seconds. Nothing is raised.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from recordings.analysis.follow.events import Event
from recordings.analysis.follow.segments import Segment
from recordings.analysis.sound.features import Features

REACH_S = 0.07  # how far an onset may move from the alignment's 23 ms grid
WIDTH_S = 0.035
LEAST_RISE = 0.06  # of the take's usual strong attack; below it the aligned time stays
RISE_DB = 12.0  # under the note's level: its pitch has begun
RISE_LEAST_S = 0.25  # shorter notes have no bloom
RISE_REACH_S = 0.2
BLOOM_S = 0.04  # by which the attack may lie behind the pitch and still be believed
DOUBT_S = 0.06
RELEASE_DB = 9.0  # below the note's own middle level: it is over, and what follows is the room
BLUR_FLOOR = 0.25  # of the attack's height: what lies below is the sound going on
BLUR_UNKNOWN_S = 0.04
SMEAR_S = 0.012  # by which the level's window lets a note seem to last longer


@dataclass(frozen=True, slots=True)
class Times:
    """Onsets and offsets in seconds, one a segment; `doubt` where attack and pitch tell different onsets.

    `blur` is how far, in seconds, the attack spreads around its onset: some milliseconds for a struck or
    tongued note, tens for a bow drawn slowly, and the onset is known no better than that.
    """

    onsets: np.ndarray
    offsets: np.ndarray
    doubt: np.ndarray
    blur: np.ndarray


def refine(
    samples: np.ndarray,
    features: Features,
    events: tuple[Event, ...],
    segments: tuple[Segment, ...],
    *,
    hz_of: Callable[[int], float],
) -> Times:
    """Times of segments in played order; `hz_of` gives the sounding frequency of a printed MIDI pitch."""
    step = features.fine_frame_s
    onsets = np.array([_onset(features, s.start_s, step) for s in segments])
    doubt = np.zeros(len(segments), dtype=bool)
    for i in range(1, onsets.size):
        if onsets[i] <= onsets[i - 1] + 0.015:
            onsets[i] = max(segments[i].start_s, onsets[i - 1] + 0.02)
        rise = _pitch_rise(samples, features, events, segments[i - 1 : i + 1], onsets[i - 1], hz_of)
        if rise is not None:
            doubt[i] = abs(onsets[i] - rise) > DOUBT_S
            # a slow bow or breath blooms late: the note begins where its pitch does
            onsets[i] = rise if onsets[i] - rise > BLOOM_S else onsets[i]
    offsets = np.empty_like(onsets)
    for i, segment in enumerate(segments):
        limit = onsets[i + 1] if i + 1 < onsets.size else max(segment.end_s, onsets[i] + 0.03) + 0.15
        until = min(max(segment.end_s + 0.1, onsets[i] + 0.03), limit)
        offsets[i] = _offset(features, onsets[i], until, step)
    blur = np.array([_blur(features, at_s, step) for at_s in onsets])
    return Times(onsets, offsets, doubt, blur)


def _pitch_rise(
    samples: np.ndarray,
    features: Features,
    events: Sequence[Event],
    pair: Sequence[Segment],
    onset_before_s: float,
    hz_of: Callable[[int], float],
) -> float | None:
    """Where the new pitch begins to sound after another, or None where that cannot be told.

    The energy at the new pitch's harmonics that the old one does not have, from the first time it comes
    within `RISE_DB` of the note's own level.
    """
    before, segment = pair
    old, new = events[before.event], events[segment.event]
    length = segment.end_s - segment.start_s
    plain = len(old.pitches) == len(new.pitches) == 1 and old.pitches != new.pitches
    if not plain or segment.wrong_pitch or before.wrong_pitch or length < RISE_LEAST_S:
        return None
    rate, hz, old_hz = features.sample_rate, hz_of(new.pitches[0]), hz_of(old.pitches[0])
    window = 2048 if min(hz, old_hz) > 150 else 4096
    first = max(segment.start_s - RISE_REACH_S, onset_before_s + 0.05, window / 2 / rate)
    last = min(segment.start_s + min(0.3, length), (samples.size - window) / rate)
    own = [
        h * hz for h in range(1, 6) if abs((h * hz / old_hz + 0.5) % 1 - 0.5) * old_hz > 1.3 * rate / window
    ]
    if last - first < 0.1 or len(own) < 2:
        return None
    times = np.arange(first, last, features.fine_frame_s)
    energy = _energy(samples, times, window, np.array(own), rate)
    level = float(np.percentile(energy[times > segment.start_s], 70))
    start = int(np.argmax(energy >= level - 3.0))
    below = np.flatnonzero(energy[:start] < level - RISE_DB)
    if not start or not below.size:
        return None
    # the window reaches half its length ahead of what it is centred on
    return float(times[below[-1] + 1]) + 0.13 * window / rate


def _energy(samples: np.ndarray, times: np.ndarray, window: int, at_hz: np.ndarray, rate: int) -> np.ndarray:
    """Level in dB at the given frequencies together, at each time."""
    starts = (times * rate).astype(int) - window // 2
    frames = np.stack([samples[s : s + window] for s in starts]) * np.hanning(window).astype(np.float32)
    turns = np.exp(-2j * np.pi * np.outer(np.arange(window), at_hz) / rate).astype(np.complex64)
    return 10 * np.log10((np.abs(frames @ turns) ** 2).sum(axis=1) + 1e-9)


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


def _blur(features: Features, onset_s: float, step: float) -> float:
    """Standard deviation of the rise around the onset, by its own height; no rise at all knows least."""
    first = max(int((onset_s - REACH_S) / step), 0)
    window = features.fine_novelty[first : int((onset_s + REACH_S) / step) + 1]
    if not window.size or window.max() < LEAST_RISE:
        return BLUR_UNKNOWN_S
    times = (first + np.arange(window.size)) * step - onset_s
    rise = np.maximum(window - BLUR_FLOOR * window.max(), 0.0)
    return float(np.sqrt(np.sum(rise * times**2) / np.sum(rise)))


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
