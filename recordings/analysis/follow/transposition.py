"""Whether a take sounds some semitones beside what is printed, before it is followed note by note.

The pitches heard, counted by frames, are compared with the printed ones, counted by quarters, at every shift
within an octave (cosine similarity of the two histograms of 128 MIDI numbers).
"""

import numpy as np

from recordings.analysis.follow import observation
from recordings.analysis.follow.events import Event
from recordings.analysis.sound.features import Features

FIT_BEFORE_TRYING = 0.08  # how much better another place must match the pitches heard


def shifts(features: Features, events: tuple[Event, ...], tuning_cents: float) -> list[int]:
    """Semitone shifts worth aligning: 0 and, when the pitches heard say so, one other from -12 to 12.

    `tuning_cents` is how far the take's semitones lie above A = 440.
    """
    printed = np.zeros(128)
    for event in events:
        for midi in event.pitches:
            printed[midi] += event.length_q
    low, high = max(int(np.flatnonzero(printed)[0]) - 14, 12), min(int(np.flatnonzero(printed)[-1]) + 14, 112)
    fits = observation.singles(features, low, high, tuning_cents=tuning_cents)
    quiet = observation.silence(features, fits.max(axis=0)) > 0.5
    sounded = np.bincount(fits.argmax(axis=0)[~quiet] + low, minlength=128).astype(float)
    if not sounded.sum():
        return [0]
    match = {s: _cosine(np.roll(printed, s), sounded) for s in range(-12, 13)}
    best = max(match, key=lambda s: match[s])
    return [0, best] if match[best] > match[0] + FIT_BEFORE_TRYING else [0]


def _cosine(first: np.ndarray, second: np.ndarray) -> float:
    return float(first @ second / max(np.linalg.norm(first) * np.linalg.norm(second), 1e-9))
