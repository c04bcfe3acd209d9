"""The arrays of the hidden semi-Markov model that `viterbi.py` runs through, as named tuples for numba.

Shapes are given in frames (of the alignment's grid) and events (of the form's chain); scores and costs are in
nats, boundary t lies before frame t. Compiled code is kept by the time stamp of `viterbi.py` alone: a change
here asks for a change there.
"""

from typing import NamedTuple

import numpy as np

# where the entry into an event came from (low bit: 0 straight from the event, 1 from its pause)
FROM_PREVIOUS, FROM_SKIP_1, FROM_SKIP_2, FROM_JUMP, FROM_EDGE, FROM_START = 0, 2, 4, 6, 8, 10
ENTRY_BITS, PAUSE_BEGINS = 15, 16


class Model(NamedTuple):
    """What the take and the score say; the same for every run."""

    fit: np.ndarray  # (columns, frames) float32: log-likelihood of a pitch set in each frame, at most 0
    pause_fit: np.ndarray  # (frames,) float32: what a pause or talk costs
    after_fit: np.ndarray  # (frames,) float32: what anything that sounds after the end costs
    wrong: np.ndarray  # (frames + 1,) float64: cost of a wrong pitch, summed
    attack: np.ndarray  # (frames + 1,) float32: gain or loss for beginning a note at a boundary
    column: np.ndarray  # (events,) int32: row of `fit`
    pause_cost: np.ndarray  # (events,) float32: per frame of pause after the event
    bar_first: np.ndarray  # (events,) uint8: 1 when a jump may land here
    start_cost: np.ndarray  # (events,) float32: cost of beginning the take here
    end_cost: np.ndarray  # (events,) float32: cost of ending the take after the event
    edge_start: np.ndarray  # (events + 1,) int32: printed jumps into each event, as slices of edge_source
    edge_source: np.ndarray  # (edges,) int32
    final: int  # event after whose end anything may sound
    jump_more: float  # what a jump costs on top, where somebody has said how the bars came
    gate_at: np.ndarray  # (gates,) int32, rising: boundaries at which nothing goes on
    gate_event: np.ndarray  # (gates,) int32: the one event that begins there


class Durations(NamedTuple):
    """How many frames each event may last, and the log-normal priors of those lengths."""

    shortest: np.ndarray  # (events,) int32
    longest: np.ndarray  # (events,) int32, included
    first: np.ndarray  # (events + 1,) int64: where an event's priors begin
    priors: np.ndarray  # (sum of the spans,) float64


class Costs(NamedTuple):
    """Prices of what a player does beside playing as printed; `beam`: how far a path may lie behind.

    A wrong pitch costs `wrong` and its frames' own price, or `wrong_most` and `wrong_lasting` a frame.
    """

    skip: float
    jump: float
    edge: float
    wrong: float
    wrong_most: float
    wrong_lasting: float
    beam: float


class Tables(NamedTuple):
    """What `trace` walks back: one row per boundary, one column per event of the band."""

    first: np.ndarray  # (frames + 1,) int32: the event of column 0
    segment: np.ndarray  # (frames + 1, width) int16: length of the segment that ends here, below 0 if wrong
    origin: np.ndarray  # (frames + 1, width) uint8: 1 + entry code, and PAUSE_BEGINS
    edge_column: np.ndarray  # (events,) int32: column in `edge_from`, -1 where no printed jump leads in
    edge_from: np.ndarray  # (frames + 1, events with jumps) int8: which of them
    jump_source: np.ndarray  # (frames + 1,) int32: 2 * the best event to leave, + 1 from its pause


class Front(NamedTuple):
    """Scores of all events around the present boundary; columns of `ends` are boundaries, round and round."""

    ends: np.ndarray  # (events, slots) float64: best segment that ends there
    lengths: np.ndarray  # (events, slots) int16: its length, below 0 if wrong
    now: np.ndarray  # (events,) float64: the event ends at this boundary
    before: np.ndarray  # (events,) float64: it ended at the last one
    pauses: np.ndarray  # (events,) float64: it is over and a pause lasts


class Result(NamedTuple):
    """The best path's score, that of no note at all, and where `trace` begins."""

    score: float
    nothing: float
    last: int  # 2 * the last event, + 1 when its pause ends the take; -1 without a path
    end: int  # boundary
    tables: Tables


class Step(NamedTuple):
    """One segment of a path, between two boundaries."""

    event: int
    start: int
    end: int
    wrong: bool
    entry: int  # FROM_...


def trace(result: Result, model: Model) -> list[Step]:
    """Walk the tables back: the best path's steps in played order, with boundaries in frames.

    Only for a result that has a path (`last` not below 0).
    """
    tables = result.tables
    t = int(result.end)
    path = []
    event, paused = divmod(int(result.last), 2)
    while True:
        if paused:
            while not tables.origin[t, event - tables.first[t]] & PAUSE_BEGINS:
                t -= 1
            t -= 1
        length = int(tables.segment[t, event - tables.first[t]])
        start = t - abs(length)
        code = int(tables.origin[start, event - tables.first[start]] & ENTRY_BITS) - 1
        path.append(Step(event, start, t, length < 0, code & ~1))
        t = start
        kind, paused = code & ~1, code & 1
        if kind == FROM_START:
            break
        if kind == FROM_JUMP:
            event, paused = divmod(int(tables.jump_source[t]), 2)
        elif kind == FROM_EDGE:
            source = tables.edge_from[t, tables.edge_column[event]]
            event = int(model.edge_source[model.edge_start[event] + source])
        else:
            event -= kind // 2 + 1
    return path[::-1]
