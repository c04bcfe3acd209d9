"""Pitches that sound in the pauses between the printed notes.

Times in seconds, pitches as MIDI numbers, one entry a pitch. Nothing is raised.
"""

import itertools

import numpy as np

from recordings.analysis.follow.note_result import ExtraNote
from recordings.analysis.follow.segments import Alignment
from recordings.analysis.sound.features import Features

LEAST_S = 0.15


def find(features: Features, alignment: Alignment) -> tuple[ExtraNote, ...]:
    """Clear pitches of `LEAST_S` or more in the pauses between aligned notes."""
    observed, found = alignment.observations, []
    edges = [(s.start_s, s.end_s) for s in alignment.segments]
    for (_, end), (start, _) in itertools.pairwise(edges):
        first, last = int(end / features.frame_s) + 2, int(start / features.frame_s)
        if (last - first) * features.frame_s < LEAST_S:
            continue
        rows = observed.best[first:last]
        cut = np.flatnonzero((np.diff(rows) != 0) | (observed.silent[first + 1 : last] > 0.5)) + 1
        for piece in np.split(np.arange(first, last), cut):
            if piece.size * features.frame_s >= LEAST_S and observed.silent[piece].mean() < 0.3:
                midi = int(observed.best[piece[0]]) - alignment.shift
                found.append(ExtraNote(piece[0] * features.frame_s, (piece[-1] + 1) * features.frame_s, midi))
    return tuple(found)
