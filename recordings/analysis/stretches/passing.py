"""One pass over a long recording, in which runs of every piece compete with hearing none of them.

Token passing (S. Young, N. Russell and J. Thornton, "Token passing: a simple conceptual model for connected
speech recognition systems", Cambridge 1989, from memory): each event of each piece, at each of a few tempos,
keeps only its best way here and where that way began, so memory does not grow with states times length.
Lengths are explicit, as in a hidden semi-Markov model. What a run gains is counted against free hearing: any
pitch at any time, each change of pitch at a price. So every note that comes as printed is worth what free
hearing pays for it, and a run is taken where it is worth more than beginning one costs. All in nats; boundary
t lies before frame t. Nothing is raised.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

NEVER = np.float32(-1e9)
STEP = 2  # semitones
SOUNDS = 0.3  # nats a frame: a pitch that fits worse than free hearing by more is not the one that sounds
ATTACKED = 0.3  # strength: enough for a note to begin on the pitch before
SETTLED = 3.0  # nats that a run has to gain before a wrong or a skipped note is forgiven
STRETCHED, FERMATA_FRAMES = 2.2, 10  # how far a length may lie from what is expected
KEPT_RHYTHM = 1.5  # standard deviations, squared: a wrong note is one only in the printed rhythm


class States(NamedTuple):
    """(events,) arrays over the chains of all pieces, one after the other."""

    row: np.ndarray  # int32, of `fit`
    following: np.ndarray  # int32; -1 behind a chain's last event
    begin: np.ndarray  # float32: nats that beginning a run here costs
    expected: np.ndarray  # (events, tempos) float32: frames


class Prices(NamedTuple):
    """Nats, but `sigma`: the width of the lengths' log-normal."""

    wrong: float
    skipped: float
    other_tempo: float
    off_length: float  # the most that one length may cost
    slack: float  # how far below a new run a way may fall before it is given up
    sigma: float


@njit(cache=True, nogil=True)
def free_hearing(fit: np.ndarray, quiet: np.ndarray, step: float, leap: float, anything: float) -> np.ndarray:
    """(frames,) float32: what each frame costs where no piece is known, at most 0.

    Any pitch of `fit`, (pitches, frames), each change of pitch for `leap`, to one of the two next semitones
    for `step`, or `anything` a frame for what has no steady pitch. Where it is `quiet` nothing costs.
    """
    pitches, frames = fit.shape
    best = np.zeros(pitches, dtype=np.float64)
    before = np.zeros(pitches, dtype=np.float64)
    cost = np.zeros(frames, dtype=np.float32)
    total = 0.0
    loose = 0.0
    for t in range(frames):
        entry = total - leap
        top = -1e18
        before[:] = best
        for p in range(pitches):
            for near in range(max(0, p - STEP), min(pitches, p + STEP + 1)):
                best[p] = max(best[p], before[near] - step)
            best[p] = max(best[p], entry) + fit[p, t] * (1.0 - quiet[t])
            top = max(top, best[p])
        loose = max(loose, total) - anything * (1.0 - quiet[t])
        cost[t] = max(top, loose) - total
        total = max(top, loose)
    return cost


@njit(cache=True, nogil=True)
def pass_over(
    fit: np.ndarray, free: np.ndarray, attack: np.ndarray, states: States, prices: Prices, longest: int
) -> tuple[np.ndarray, np.ndarray]:
    """(source, gain), each (frames + 1,): the best run that ends at a boundary, nats of all runs until there.

    fit: (rows, frames) float32; free, attack: (frames,) float32, what free hearing pays and what an attack
    is worth to a note that begins. A row of `source` is (begun, first event, last event, tempo), or -1.
    """
    frames = fit.shape[1]
    events, tempos = states.expected.shape
    slots = longest + 1
    score = np.full((slots, events, tempos), NEVER, dtype=np.float32)
    begun = np.zeros((slots, events, tempos), dtype=np.int32)
    first = np.zeros((slots, events, tempos), dtype=np.int32)
    alive = np.zeros((slots, events), dtype=np.uint8)
    gain = np.zeros(frames + 1, dtype=np.float32)
    leaving = np.full(frames + 1, NEVER, dtype=np.float32)
    source = np.full((frames + 1, 4), -1, dtype=np.int32)
    for t in range(frames + 1):
        if t > 0:
            gain[t] = gain[t - 1]
        if leaving[t] > gain[t]:
            gain[t] = leaving[t]
        else:
            source[t] = -1
        if t == frames:
            break
        here = t % slots
        for k in range(events):
            row = states.row[k]
            sounds = fit[row, t] - free[t] > -SOUNDS
            fresh = t == 0 or attack[t] > ATTACKED or fit[row, t - 1] - free[t - 1] < -SOUNDS
            if not alive[here, k] and not (sounds and fresh):
                continue
            alive[here, k] = 0
            after = states.following[k]
            least = gain[t] - states.begin[k] - prices.slack
            for c in range(tempos):
                now, since, origin = score[here, k, c], begun[here, k, c], first[here, k, c]
                score[here, k, c] = NEVER
                if sounds and fresh and gain[t] - states.begin[k] > now:
                    now, since, origin = gain[t] - states.begin[k], t, k
                if now < least:
                    continue
                settled = now > gain[t] - states.begin[k] + SETTLED
                if settled and after >= 0 and now - prices.skipped > score[here, after, c]:
                    score[here, after, c] = now - prices.skipped
                    begun[here, after, c], first[here, after, c] = since, origin
                    alive[here, after] = 1
                expected = states.expected[k, c]
                running = now + attack[t]
                mistaken = running - prices.wrong
                for d in range(1, min(longest, frames - t, int(expected * STRETCHED) + FERMATA_FRAMES) + 1):
                    running += fit[row, t + d - 1] - free[t + d - 1]
                    if running < least and not settled:
                        break
                    if d < int(expected / STRETCHED):
                        continue
                    off = (np.log(d / expected) / prices.sigma) ** 2
                    value = running
                    if settled and off < KEPT_RHYTHM:
                        value = max(value, mistaken)
                    value -= min(0.5 * off, prices.off_length)
                    if value < least:
                        continue
                    if value > leaving[t + d]:
                        leaving[t + d] = value
                        source[t + d, 0], source[t + d, 1] = since, origin
                        source[t + d, 2], source[t + d, 3] = k, c
                    if after < 0:
                        continue
                    slot = (t + d) % slots
                    for other in range(max(0, c - 1), min(tempos, c + 2)):
                        passed = value if other == c else value - prices.other_tempo
                        if passed > score[slot, after, other]:
                            score[slot, after, other] = passed
                            begun[slot, after, other], first[slot, after, other] = since, origin
                            alive[slot, after] = 1
    return source, gain
