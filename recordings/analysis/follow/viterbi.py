"""The best path through a note-level hidden semi-Markov model, compiled with numba.

A path is a chain of segments. A segment is one event (note or chord) played right or with a wrong
pitch, with an explicit log-normal duration; after it may come a pause of any length. Events may be
skipped, and from the end of any event the player may jump to the start of any bar. After the form's
end anything may sound at a low price until the take is over. Times here are
boundaries between frames: boundary t lies before frame t.

A score with more events than `band` is looked at through a window of so many events that follows the
best path, so that time and memory grow with the take and not with take times score.
"""

import numpy as np
from numba import njit

NEVER = -1e18

# where the entry into an event came from (low bit: 0 straight from the event, 1 from its pause)
FROM_PREVIOUS, FROM_SKIP_1, FROM_SKIP_2, FROM_JUMP, FROM_EDGE, FROM_START = 0, 2, 4, 6, 8, 10
ENTRY_BITS, PAUSE_BEGINS = 15, 16


@njit(cache=True, nogil=True)
def run(
    fit,  # (columns, frames) float32
    pause_fit,  # (frames,) float32: what a pause or talk costs
    wrong_cumulative,  # (frames + 1,) float64: cost of a wrong pitch, summed
    attack,  # (frames + 1,) float32: gain or loss for beginning a note at a boundary
    column,  # (events,) int32
    expected,  # (events,) float64: frames
    shortest,  # (events,) int32
    longest,  # (events,) int32
    sigma,  # width of the log-normal duration
    pause_cost,  # (events,) float32: per frame of pause after the event
    bar_first,  # (events,) uint8: 1 when a jump may land here
    start_cost,  # (events,) float32: cost of beginning the take here
    end_cost,  # (events,) float32: cost of ending the take after the event
    after_fit,  # (frames,) float32: what anything heard after the end costs
    final,  # event after whose end anything may be heard
    jumps_until,  # boundary from which on no jump is looked for
    edge_start,  # (events + 1,) int32: printed jumps into each event, as slices of edge_source
    edge_source,  # (edges,) int32
    skip_cost,
    jump_cost,
    edge_cost,
    wrong_cost,
    wrong_most,
    beam,
    band,  # events looked at together
):
    """Fill the tables; returns (score, score of hearing nothing, end of the path, and what `trace` wants).

    Tables have one row per boundary and one column per event of the band; `first[t]` is the event of
    column 0 at boundary t.
    """
    columns, frames = fit.shape
    events = column.size
    width = min(events, band)
    first = np.zeros(frames + 1, dtype=np.int32)
    prior_start, priors = _priors(expected, shortest, longest, sigma)
    cumulative = np.zeros((columns, frames + 1))
    for c in range(columns):
        total = 0.0
        for t in range(frames):
            total += fit[c, t]
            cumulative[c, t + 1] = total
    ring = 0
    for k in range(events):
        ring = max(ring, longest[k] + 1)
    ends = np.full((events, ring), NEVER)
    pauses = np.full(events, NEVER)
    segment = np.zeros((frames + 1, width), dtype=np.int16)
    ring_segment = np.zeros((events, ring), dtype=np.int16)
    # low four bits: 1 + where the entry into the event came from; then whether its pause began here
    origin = np.zeros((frames + 1, width), dtype=np.uint8)
    edge_column = _numbered(edge_start)
    edge_from = np.zeros((frames + 1, max(1, edge_column.max() + 1)), dtype=np.int8)
    jump_source = np.full(frames + 1, -1, dtype=np.int32)
    now = np.full(events, NEVER)
    before = np.full(events, NEVER)
    low = 0
    waiting = 0.0  # silence or talk before the first note
    after, ended = NEVER, -1  # since the form's end at boundary `ended`
    for t in range(frames + 1):
        slot = t % ring
        best = NEVER
        best_source = -1
        first[t] = low
        for k in range(low, low + width):
            now[k] = ends[k, slot]
            segment[t, k - low] = ring_segment[k, slot]
            ends[k, slot] = NEVER
            if t > 0:
                held = fit[column[k], t - 1] - 0.35
                cost = max(pause_fit[t - 1], held) - pause_cost[k]
                if before[k] > pauses[k]:
                    pauses[k] = before[k] + cost
                    origin[t, k - low] = PAUSE_BEGINS
                else:
                    pauses[k] += cost
            before[k] = now[k]
            if now[k] > best:
                best = now[k]
                best_source = 2 * k
            if pauses[k] > best:
                best = pauses[k]
                best_source = 2 * k + 1
        if t > 0:
            waiting += pause_fit[t - 1]
            after += after_fit[t - 1]
        if now[final] > after:
            after, ended = now[final], t
        jump_source[t] = best_source
        if t == frames:
            break
        bound = max(best, waiting) - beam
        for k in range(low, low + width):
            entry = NEVER
            code = -1
            for back in range(1, 4):
                if k - back < 0:
                    break
                cost = skip_cost * (back - 1)
                if now[k - back] - cost > entry:
                    entry = now[k - back] - cost
                    code = 2 * (back - 1)
                if pauses[k - back] - cost > entry:
                    entry = pauses[k - back] - cost
                    code = 2 * (back - 1) + 1
            if bar_first[k] == 1:
                if t < jumps_until and best - jump_cost > entry:
                    entry = best - jump_cost
                    code = FROM_JUMP
                for e in range(edge_start[k], edge_start[k + 1]):
                    source = edge_source[e]
                    if now[source] - edge_cost > entry:
                        entry = now[source] - edge_cost
                        code = FROM_EDGE
                        edge_from[t, edge_column[k]] = e - edge_start[k]
                    if pauses[source] - edge_cost > entry:
                        entry = pauses[source] - edge_cost
                        code = FROM_EDGE + 1
                        edge_from[t, edge_column[k]] = e - edge_start[k]
            if waiting - start_cost[k] > entry:
                entry = waiting - start_cost[k]
                code = FROM_START
            if entry < bound:
                continue
            origin[t, k - low] |= code + 1
            entry += attack[t]
            c = column[k]
            right_base = entry - cumulative[c, t]
            wrong_base = entry - wrong_cost - wrong_cumulative[t]
            most = frames - t
            floor = entry - wrong_cost - wrong_most
            d = shortest[k]
            last_d = min(longest[k], most)
            while d <= last_d:
                # up to the ring's end in one go, without wrapping inside
                to = (t + d) % ring
                count = min(last_d - d + 1, ring - to)
                _spread(
                    cumulative[c, t + d : t + d + count], wrong_cumulative[t + d : t + d + count],
                    priors[prior_start[k] + d - shortest[k] :], right_base, wrong_base, floor, d,
                    ends[k, to : to + count], ring_segment[k, to : to + count],
                )  # fmt: skip
                d += count
            if longest[k] > most:
                # the take ends amid the note: its length says nothing
                right = right_base + cumulative[c, frames]
                wrong = max(wrong_base + wrong_cumulative[frames], floor)
                to = frames % ring
                if max(right, wrong) > ends[k, to]:
                    ends[k, to] = max(right, wrong)
                    ring_segment[k, to] = most if right >= wrong else -most
        low = _follow(low, width, events, best_source // 2, now, before, pauses, ends)
    score = NEVER
    last = -1
    for k in range(low, low + width):
        if now[k] - end_cost[k] > score:
            score = now[k] - end_cost[k]
            last = 2 * k
        if pauses[k] - end_cost[k] > score:
            score = pauses[k] - end_cost[k]
            last = 2 * k + 1
    end = frames
    if after > score:
        score, last, end = after, 2 * final, ended
    return score, waiting, last, end, first, segment, origin, edge_from, jump_source


@njit(cache=True, nogil=True, inline="always")
def _spread(right, wrong, prior, right_base, wrong_base, floor, shortest, ends, segment):
    """Enter the segments of lengths `shortest`, `shortest` + 1, ... that end where `ends` has its places.

    Without branches, so that the compiler can do several at once.
    """
    for i in range(ends.size):
        as_printed = right_base + right[i]
        # one long wrong note is still one mistake: its cost has a ceiling
        other = max(wrong_base + wrong[i], floor)
        value = max(as_printed, other) + prior[i]
        length = shortest + i if as_printed >= other else -shortest - i
        better = value > ends[i]
        ends[i] = value if better else ends[i]
        segment[i] = np.int16(length) if better else segment[i]


@njit(cache=True, nogil=True)
def _numbered(edge_start):
    """The events that have printed jumps into them, numbered from 0; -1 for the others."""
    column = np.full(edge_start.size - 1, -1, dtype=np.int32)
    count = 0
    for k in range(column.size):
        if edge_start[k + 1] > edge_start[k]:
            column[k] = count
            count += 1
    return column


@njit(cache=True, nogil=True)
def _priors(expected, shortest, longest, sigma):
    """(first index per event, log-normal priors of the lengths shortest..longest, event after event)."""
    start = np.zeros(expected.size + 1, dtype=np.int64)
    start[1:] = np.cumsum(longest - shortest + 1)
    priors = np.empty(start[-1])
    for k in range(expected.size):
        for d in range(shortest[k], longest[k] + 1):
            off = (np.log(d) - np.log(expected[k])) / sigma
            priors[start[k] + d - shortest[k]] = -0.5 * off * off
    return start, priors


@njit(cache=True, nogil=True)
def _follow(low, width, events, best, now, before, pauses, ends):
    """The band's first event at the next boundary: one step towards having `best` in its middle."""
    if best < 0:
        return low
    gone = -1
    if best > low + width // 2 and low + width < events:
        gone = low
        low += 1
    elif best < low + width // 2 and low > 0:
        low -= 1
        gone = low + width
    if gone >= 0:
        now[gone] = NEVER
        before[gone] = NEVER
        pauses[gone] = NEVER
        ends[gone, :] = NEVER
    return low


def trace(
    last, end, first, segment, origin, edge_from, jump_source, edge_start, edge_source
) -> list[tuple[int, int, int, bool, int]]:
    """Walk the tables back: a list of (event, first boundary, last boundary, wrong pitch, entry code)."""
    t = int(end)
    path = []
    edge_column = _numbered(edge_start)
    event, paused = divmod(int(last), 2)
    while True:
        if paused:
            while not origin[t, event - first[t]] & PAUSE_BEGINS:
                t -= 1
            t -= 1
        length = int(segment[t, event - first[t]])
        start = t - abs(length)
        code = int(origin[start, event - first[start]] & ENTRY_BITS) - 1
        path.append((event, start, t, length < 0, code & ~1))
        t = start
        kind, paused = code & ~1, code & 1
        if kind == FROM_START:
            break
        if kind == FROM_JUMP:
            event, paused = divmod(int(jump_source[t]), 2)
        elif kind == FROM_EDGE:
            event = int(edge_source[edge_start[event] + edge_from[t, edge_column[event]]])
        else:
            event -= kind // 2 + 1
    return path[::-1]
