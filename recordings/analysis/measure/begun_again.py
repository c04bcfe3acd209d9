"""Whether a stop was filled by playing notes before it once more: a new start inside a bar, not a hesitation.

The path of the following steps back to the beginnings of bars only; who takes up two or three notes within
one is found here, by the pitches that sound while the next note is waited for. Seconds and MIDI numbers.
Nothing is raised.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from recordings.analysis.follow.note_result import PLAYED, NoteResult
from recordings.analysis.follow.segments import Alignment
from recordings.analysis.measure.hesitations import Hesitation

LEAST_S = 0.1  # a pitch sounds so long before it counts
BACK_S = 6.0  # how far back a player takes up again; longer ways back are found as new starts
SILENT = 0.5


def mark_new_starts(
    stops: Sequence[Hesitation], notes: Sequence[NoteResult], path: Alignment, frame_s: float
) -> tuple[Hesitation, ...]:
    """The stops, those marked `begun_again` in which a note before is heard once more.

    `frame_s`: seconds between the frames of the path's observations.
    """
    heard = [n for n in notes if n.status == PLAYED and n.onset_s is not None]
    return tuple(replace(stop, begun_again=_is_filled(stop, heard, path, frame_s)) for stop in stops)


def _is_filled(stop: Hesitation, heard: list[NoteResult], path: Alignment, frame_s: float) -> bool:
    until_s = stop.time_s + stop.seconds
    own = {n.midi for n in heard if abs(n.began_s - stop.from_s) < LEAST_S}
    following = {n.midi for n in heard if abs(n.began_s - until_s) < LEAST_S}
    before = {n.midi for n in heard if stop.from_s - BACK_S <= n.began_s < stop.from_s - LEAST_S}
    pieces = _pieces(path, round(stop.from_s / frame_s), round(until_s / frame_s), round(LEAST_S / frame_s))
    taken_up = [midi for midi in pieces[1:] if midi in before - own - following]
    return bool(taken_up) or sum(midi in own for midi in pieces) > 1


def _pieces(path: Alignment, first: int, last: int, least: int) -> list[int]:
    """The pitches that sound one after the other between these frames, each long enough."""
    best = np.where(path.observations.silent > SILENT, -1, path.observations.best - path.shift)[first:last]
    cuts = np.flatnonzero(np.diff(best)) + 1
    pieces = [piece for piece in np.split(best, cuts) if piece.size >= least]
    return [int(piece[0]) for piece in pieces if piece[0] >= 0]
