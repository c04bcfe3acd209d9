"""What was told of an hour against what was played in it.

A stretch counts as found when one told of its piece covers at least half of its time. Its bars are right
when first and last bar are those played, near when each is off by one bar at most. Invented is
what is told where nothing of that piece is played, even in part.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .material import Hour
from .playing import Stretch

COVERED = 0.5


@dataclass(frozen=True, slots=True)
class Told:
    """One stretch as the program told it; bars as printed labels of its runs."""

    piece: str
    runs: tuple[tuple[str, str], ...]
    start_s: float
    end_s: float
    confidence: float


@dataclass(frozen=True, slots=True)
class Score:
    """Counts; `off_s`: seconds each found stretch's start and end lie beside the truth."""

    played: int
    found: int
    bars_right: int
    bars_near: int
    invented_in_talk: int
    invented_in_other_music: int
    invented_in_other_pieces: int
    off_s: tuple[float, ...]
    missed: tuple[str, ...]
    told_right: tuple[tuple[float, bool], ...]  # confidence of each told, and whether it is a played one


def score(hour: Hour, told: Sequence[Told]) -> Score:
    pairs = [(truth, _match(truth, told)) for truth in hour.played]
    found = [(truth, one) for truth, one in pairs if one is not None]
    apart = [_bars_apart(truth, one, hour) for truth, one in found]
    invented = [
        one for one in told if not any(_shared_s(one, t) > 0 and one.piece == t.piece for t in hour.played)
    ]
    in_pieces = [one for one in invented if any(_shared_s(one, truth) > 0 for truth in hour.played)]
    in_music = [one for one in invented if one not in in_pieces and any(_inside(one, o) for o in hour.other)]
    return Score(
        len(hour.played), len(found), sum(a == 0 for a in apart), sum(a <= 1 for a in apart),
        len(invented) - len(in_pieces) - len(in_music), len(in_music), len(in_pieces),
        tuple(float(x) for t, o in found for x in (o.start_s - t.start_s, o.end_s - t.end_s)),
        tuple(f"{truth.piece}, {truth.kind}" for truth, one in pairs if one is None),
        tuple((one.confidence, one not in invented) for one in told),
    )  # fmt: skip


def _match(truth: Stretch, told: Sequence[Told]) -> Told | None:
    same = [one for one in told if one.piece == truth.piece]
    best = max(same, key=lambda one: _shared_s(one, truth), default=None)
    least = COVERED * (truth.end_s - truth.start_s)
    return best if best is not None and _shared_s(best, truth) >= least else None


def _shared_s(one: Told, truth: Stretch) -> float:
    return max(0.0, min(one.end_s, truth.end_s) - max(one.start_s, truth.start_s))


def _inside(one: Told, span: tuple[float, float]) -> bool:
    return min(one.end_s, span[1]) > max(one.start_s, span[0])


def _bars_apart(truth: Stretch, one: Told, hour: Hour) -> int:
    """How many bars the first or the last lies off, whichever is further."""
    labels = next(music for music in hour.pieces if music.name == truth.piece).score.labels

    def ends(runs: tuple[tuple[str, str], ...]) -> tuple[int, int]:
        places = [labels.index(label) for run in runs for label in run]
        return min(places), max(places)

    return int(np.abs(np.subtract(ends(truth.runs), ends(one.runs))).max())
