"""The best path through a note-level hidden semi-Markov model, compiled with numba.

Score following with an explicit model of each note's duration: a hidden semi-Markov model (Yu, "Hidden
semi-Markov models", Artificial Intelligence 174, 2010) as used for following a score by Cont ("A coupled
duration-focused architecture for real-time music-to-score alignment", IEEE TPAMI 32, 2010); both cited from
memory. Here the whole take is known, so the best path is found by the Viterbi recursion over segments.

A path is a chain of segments. A segment is one event (note or chord) played right or with a wrong pitch,
with a log-normal duration; after it may come a pause of any length. Events may be skipped, and from the end
of any event the player may jump to the start of any bar. After the form's end anything may sound at a low
price until the take is over. At a gate, where a person has said which event begins, nothing else begins or
goes on. Times are boundaries between frames: boundary t lies before frame t. Scores
and costs are in nats (natural logarithms of likelihoods). Nothing is raised; where no path reaches the end,
`Result.last` is -1.

A score with more events than `band` is looked at through a window of so many events that follows the best
path, so that time and memory grow with the take and not with take times score.
"""

import numpy as np
from numba import njit

from recordings.analysis.follow.lattice import (
    FROM_EDGE,
    FROM_JUMP,
    FROM_START,
    PAUSE_BEGINS,
    Costs,
    Durations,
    Front,
    Model,
    Result,
    Tables,
)  # fmt: skip

NEVER = -1e18

HELD_IN_PAUSE = 0.35  # nats a frame that a note ringing on into a pause costs beside its own fit


@njit(cache=True, nogil=True)
def priors_of(expected: np.ndarray, shortest: np.ndarray, longest: np.ndarray, sigma: float) -> Durations:
    """Priors of the lengths shortest..longest (frames) around `expected`, `sigma` the log-normal's width."""
    first = np.zeros(expected.size + 1, dtype=np.int64)
    first[1:] = np.cumsum(longest - shortest + 1)
    priors = np.empty(first[-1])
    for k in range(expected.size):
        for d in range(shortest[k], longest[k] + 1):
            off = (np.log(d) - np.log(expected[k])) / sigma
            priors[first[k] + d - shortest[k]] = -0.5 * off * off
    return Durations(shortest, longest, first, priors)


@njit(cache=True, nogil=True)
def run(model: Model, durations: Durations, costs: Costs, band: int, jumps_until: int) -> Result:
    """Fill the tables: a `Result`. From boundary `jumps_until` on no jump is looked for."""
    frames, events = model.fit.shape[1], model.column.size
    width = min(events, band)
    summed = _summed(model.fit)
    tables = _empty_tables(model, frames, width)
    front = _empty_front(events, durations.longest.max() + 1)
    low = 0
    nothing = waiting = 0.0  # silence or talk: all the time, and before the first note
    after, ended = NEVER, -1  # since the form's end at boundary `ended`
    gate = 0
    for t in range(frames + 1):
        tables.first[t] = low
        best, best_source = _finish(t, low, width, model, front, tables)
        if t > 0:
            waiting += model.pause_fit[t - 1]
            nothing += model.pause_fit[t - 1]
            after += model.after_fit[t - 1]
        if front.now[model.final] > after:
            after, ended = front.now[model.final], t
        tables.jump_source[t] = best_source
        if t == frames:
            break
        bound = max(max(best, waiting) - costs.beam, NEVER / 2)
        back = best - costs.jump - model.jump_more
        jump = back if t < jumps_until else NEVER
        opening, closing = low, low + width
        if gate < model.gate_at.size and model.gate_at[gate] == t:
            only = model.gate_event[gate]
            gate += 1
            if low <= only < low + width:
                opening, closing = only, only + 1
                bound, jump = NEVER / 2, back
                front.ends[:, :] = NEVER
        _begin(t, low, opening, closing, bound, jump, waiting, model, durations, costs, summed, front, tables)
        if closing - opening < width:
            front.before[:] = NEVER
            front.pauses[:] = NEVER
            waiting = after = NEVER
        low = _move_band(low, width, best_source // 2, front)
    score, last = _best_end(low, width, model, front)
    end = frames
    if after > score:
        score, last, end = after, 2 * model.final, ended
    return Result(score, nothing, last, end, tables)


@njit(cache=True, nogil=True)
def _summed(fit: np.ndarray) -> np.ndarray:
    columns, frames = fit.shape
    summed = np.zeros((columns, frames + 1))
    for c in range(columns):
        total = 0.0
        for t in range(frames):
            total += fit[c, t]
            summed[c, t + 1] = total
    return summed


@njit(cache=True, nogil=True)
def _empty_tables(model: Model, frames: int, width: int) -> Tables:
    edge_column = np.full(model.column.size, -1, dtype=np.int32)
    count = 0
    for k in range(edge_column.size):
        if model.edge_start[k + 1] > model.edge_start[k]:
            edge_column[k] = count
            count += 1
    return Tables(
        np.zeros(frames + 1, dtype=np.int32),
        np.zeros((frames + 1, width), dtype=np.int16),
        np.zeros((frames + 1, width), dtype=np.uint8),
        edge_column,
        np.zeros((frames + 1, max(1, count)), dtype=np.int8),
        np.full(frames + 1, -1, dtype=np.int32),
    )


@njit(cache=True, nogil=True)
def _empty_front(events: int, slots: int) -> Front:
    return Front(
        np.full((events, slots), NEVER),
        np.zeros((events, slots), dtype=np.int16),
        np.full(events, NEVER),
        np.full(events, NEVER),
        np.full(events, NEVER),
    )


@njit(cache=True, nogil=True)
def _finish(t: int, low: int, width: int, model: Model, front: Front, tables: Tables) -> tuple[float, int]:
    """Take over the segments and pauses that end at boundary t; (best of their scores, its source)."""
    now, before, pauses, ends, lengths = front.now, front.before, front.pauses, front.ends, front.lengths
    segment, origin = tables.segment, tables.origin
    fit, pause_fit, pause_cost, column = model.fit, model.pause_fit, model.pause_cost, model.column
    slot = t % ends.shape[1]
    best = NEVER
    best_source = -1
    for k in range(low, low + width):
        now[k] = ends[k, slot]
        segment[t, k - low] = lengths[k, slot]
        ends[k, slot] = NEVER
        if t > 0:
            held = fit[column[k], t - 1] - HELD_IN_PAUSE
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
    return best, best_source


@njit(cache=True, nogil=True)
def _begin(
    t: int, low: int, from_event: int, to_event: int, bound: float, jump: float, waiting: float,
    model: Model, durations: Durations, costs: Costs, summed: np.ndarray, front: Front, tables: Tables,
) -> None:  # fmt: skip
    """Let every event of these begin at boundary t that may, by its best entry, not below `bound`.

    Flat on purpose: arrays handed to a helper for each event are counted as references each time, which made
    this loop one and a half to ten times slower (measured, November 2026).
    """
    now, pauses, ends, lengths = front.now, front.pauses, front.ends, front.lengths
    origin, edge_column, edge_from = tables.origin, tables.edge_column, tables.edge_from
    column, attack, wrong = model.column, model.attack, model.wrong
    bar_first, start_cost, edge_start = model.bar_first, model.start_cost, model.edge_start
    edge_source = model.edge_source
    shortest, longest, first, priors = durations
    slots, frames = ends.shape[1], summed.shape[1] - 1
    most = frames - t
    skip_cost, edge_cost, wrong_cost, lasting = costs.skip, costs.edge, costs.wrong, costs.wrong_lasting
    for k in range(from_event, to_event):
        entry, code = NEVER, -1
        for back in range(1, min(k, 3) + 1):
            score, paused = _leave(now[k - back], pauses[k - back], skip_cost * (back - 1))
            if score > entry:
                entry, code = score, 2 * (back - 1) + paused
        if bar_first[k] == 1:
            if jump > entry:
                entry, code = jump, FROM_JUMP
            for e in range(edge_start[k], edge_start[k + 1]):
                score, paused = _leave(now[edge_source[e]], pauses[edge_source[e]], edge_cost)
                if score > entry:
                    entry, code = score, FROM_EDGE + paused
                    edge_from[t, edge_column[k]] = e - edge_start[k]
        if waiting - start_cost[k] > entry:
            entry, code = waiting - start_cost[k], FROM_START
        if entry < bound:
            continue
        origin[t, k - low] |= code + 1
        entry += attack[t]
        c = column[k]
        right_base = entry - summed[c, t]
        wrong_base = entry - wrong_cost - wrong[t]
        held_base = entry - wrong_cost - costs.wrong_most
        d = shortest[k]
        last_d = min(longest[k], most)
        while d <= last_d:
            # up to the last slot in one go, without wrapping inside
            to = (t + d) % slots
            count = min(last_d - d + 1, slots - to)
            _spread(
                summed[c, t + d : t + d + count], wrong[t + d : t + d + count],
                priors[first[k] + d - shortest[k] :], right_base, wrong_base, held_base, lasting, d,
                ends[k, to : to + count], lengths[k, to : to + count],
            )  # fmt: skip
            d += count
        if longest[k] > most:
            # the take ends amid the note: its length says nothing
            right = right_base + summed[c, frames]
            other = max(wrong_base + wrong[frames], held_base - lasting * most)
            to = frames % slots
            if max(right, other) > ends[k, to]:
                ends[k, to] = max(right, other)
                lengths[k, to] = most if right >= other else -most


@njit(cache=True, nogil=True)
def _leave(now: float, pause: float, cost: float) -> tuple[float, int]:
    """(score, 1 from the pause or 0) of leaving an event at this boundary."""
    if pause - cost > now - cost:
        return pause - cost, 1
    return now - cost, 0


@njit(cache=True, nogil=True, inline="always")
def _spread(
    right: np.ndarray, wrong: np.ndarray, prior: np.ndarray,
    right_base: float, wrong_base: float, held_base: float, lasting: float, shortest: int,
    ends: np.ndarray, segment: np.ndarray,
) -> None:  # fmt: skip
    """Enter the segments of lengths `shortest`, `shortest` + 1, ... that end where `ends` has its places.

    One long wrong note is one mistake: from `held_base` on its frames cost only `lasting` each.
    Without branches, so that the compiler can do several at once.
    """
    for i in range(ends.size):
        as_printed = right_base + right[i]
        other = max(wrong_base + wrong[i], held_base - lasting * (shortest + i))
        value = max(as_printed, other) + prior[i]
        length = shortest + i if as_printed >= other else -shortest - i
        better = value > ends[i]
        ends[i] = value if better else ends[i]
        segment[i] = np.int16(length) if better else segment[i]


@njit(cache=True, nogil=True)
def _move_band(low: int, width: int, best: int, front: Front) -> int:
    """The band's first event at the next boundary: one step towards having `best` in its middle."""
    if best < 0:
        return low
    gone = -1
    if best > low + width // 2 and low + width < front.now.size:
        gone = low
        low += 1
    elif best < low + width // 2 and low > 0:
        low -= 1
        gone = low + width
    if gone >= 0:
        front.now[gone] = NEVER
        front.before[gone] = NEVER
        front.pauses[gone] = NEVER
        front.ends[gone, :] = NEVER
    return low


@njit(cache=True, nogil=True)
def _best_end(low: int, width: int, model: Model, front: Front) -> tuple[float, int]:
    score = NEVER
    last = -1
    for k in range(low, low + width):
        if front.now[k] - model.end_cost[k] > score:
            score = front.now[k] - model.end_cost[k]
            last = 2 * k
        if front.pauses[k] - model.end_cost[k] > score:
            score = front.pauses[k] - model.end_cost[k]
            last = 2 * k + 1
    return score, last
