"""The runs of known pieces in what was heard: bars one after the other, each run at about one tempo.

Every piece is listened for where it is printed, an octave up and down, and at every transposition between,
which has to say more for itself. Prices and tempos were set in November 2026 on made hours of violin,
clarinet and horn (`tests/accuracy/long_recordings`); frames never leave this module and `passing`.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from recordings.analysis.stretches.hearing import Heard, hear
from recordings.analysis.stretches.passing import Prices, States, free_hearing, pass_over
from recordings.analysis.stretches.pieces import Chain

TEMPO_RATIOS = 0.4 * 1.25 ** np.arange(8)  # of the printed tempo, to 1.9; a run may move between neighbours
OCTAVE = 12
SHIFTS = (0, -OCTAVE, OCTAVE, *(s for s in range(1 - OCTAVE, OCTAVE) if s))
# nats: more than half of all changes of pitch go to one of four neighbours, the rest to some twenty others
STEP, LEAP = 2.0, 3.8
ANYTHING = 0.8  # nats a frame without a steady pitch
QUIET_IN_NOTE = 0.15  # nats a quiet frame inside a note
ATTACK_GAIN, ATTACK_FROM, ATTACK_LEAST, ATTACK_MOST = 1.5, 0.3, -0.5, 0.8
BEGIN, BEGIN_IN_BAR, OTHER_OCTAVE, OTHER_KEY = 8.0, 2.0, 2.0, 4.0  # nats; the last three come on top
PRICES = Prices(wrong=6.0, skipped=7.0, other_tempo=1.0, off_length=5.0, slack=4.0, sigma=0.22)
LONGEST_S, LONGEST_EXPECTED_S = 6.0, 4.0  # of one note; a longer one is listened to no further
SHORTEST_FRAMES = 0.8
STATES_AT_ONCE = 6000  # with their tempos and lengths some 75 MB


@dataclass(frozen=True, slots=True)
class Run:
    """Events `first` to `last` of one chain, in seconds; `gain` in nats against knowing no piece."""

    chain: int
    shift: int
    first: int
    last: int
    start_s: float
    end_s: float
    tempo_ratio: float
    gain: float


def listen(samples: np.ndarray, chains: Sequence[Chain], *, sample_rate: int) -> Heard:
    """What is heard of the pitches of all chains at every shift."""
    lowest, highest = min(c.pitches[0] for c in chains), max(c.pitches[-1] for c in chains)
    return hear(
        samples, sample_rate=sample_rate, lowest=lowest - OCTAVE, highest=highest + OCTAVE, window_midi=lowest
    )


def find_runs(heard: Heard, chains: Sequence[Chain]) -> list[Run]:
    """All runs in the order of time; of two that overlap the one that gains more."""
    fit, quiet = heard.fit.astype(np.float32), heard.quiet.astype(np.float32)
    free = free_hearing(fit, quiet, STEP, LEAP, ANYTHING)
    attack = np.clip(ATTACK_GAIN * (heard.attack - ATTACK_FROM), ATTACK_LEAST, ATTACK_MOST)
    found = [
        run
        for places in _groups(chains)
        for run in _runs_at(places, chains, heard, fit, free, attack.astype(np.float32))
    ]
    kept: list[Run] = []
    for run in sorted(found, key=lambda run: -run.gain):
        if all(run.end_s <= other.start_s or run.start_s >= other.end_s for other in kept):
            kept.append(run)
    return sorted(kept, key=lambda run: run.start_s)


def _groups(chains: Sequence[Chain]) -> list[list[tuple[int, int]]]:
    """(chain, shift) places, as many together as memory allows; the usual places first."""
    groups: list[list[tuple[int, int]]] = []
    states = STATES_AT_ONCE
    for shift in SHIFTS:
        for number, chain in enumerate(chains):
            if not groups or states + len(chain.events) > STATES_AT_ONCE:
                groups.append([])
                states = 0
            groups[-1].append((number, shift))
            states += len(chain.events)
    return groups


def _runs_at(
    places: list[tuple[int, int]],
    chains: Sequence[Chain],
    heard: Heard,
    fit: np.ndarray,
    free: np.ndarray,
    attack: np.ndarray,
) -> list[Run]:
    """The runs of these places against each other, last first; they never overlap."""
    rows: dict[tuple[int, ...], int] = {}
    states, owners = _states(chains, places, heard.frame_s, rows)
    quiet = heard.quiet.astype(np.float32)
    sounding = _rows_of(fit, heard.lowest, rows)
    sounding = sounding * (1 - quiet) - np.float32(QUIET_IN_NOTE) * quiet
    source, gain = pass_over(sounding, free, attack, states, PRICES, int(LONGEST_S / heard.frame_s))
    found = []
    end = len(gain) - 1
    while end > 0:
        begun, first, last, tempo = (int(value) for value in source[end])
        if begun < 0:
            end -= 1
            continue
        place, event = owners[first]
        found.append(
            Run(
                *places[place], event, event + last - first, begun * heard.frame_s, end * heard.frame_s,
                float(TEMPO_RATIOS[tempo]), float(gain[end] - gain[begun]),
            )
        )  # fmt: skip
        end = begun
    return found


def _states(
    chains: Sequence[Chain], places: list[tuple[int, int]], frame_s: float, rows: dict[tuple[int, ...], int]
) -> tuple[States, list[tuple[int, int]]]:
    """All chains at all their shifts, and for each state its place and event; `rows` gets the pitch sets."""
    row, following, begin, expected, owners = [], [], [], [], []
    for place, (number, shift) in enumerate(places):
        chain = chains[number]
        extra = 0.0 if not shift else OTHER_OCTAVE if shift % OCTAVE == 0 else OTHER_KEY
        for event in chain.events:
            row.append(rows.setdefault(tuple(midi + shift for midi in event.struck), len(rows)))
            following.append(len(row))
            begin.append(BEGIN + extra + (0.0 if event.first_in_bar else BEGIN_IN_BAR))
            owners.append((place, event.index))
        if chain.events:
            following[-1] = -1
            lengths = np.outer(chain.lengths_s / frame_s, 1 / TEMPO_RATIOS)
            expected.append(np.clip(lengths, SHORTEST_FRAMES, LONGEST_EXPECTED_S / frame_s))
    states = States(
        np.array(row, dtype=np.int32), np.array(following, dtype=np.int32),
        np.array(begin, dtype=np.float32), np.concatenate(expected).astype(np.float32),
    )  # fmt: skip
    return states, owners


def _rows_of(fit: np.ndarray, lowest: int, rows: dict[tuple[int, ...], int]) -> np.ndarray:
    """(pitch sets, frames): of a chord the pitch that is heard best; what lies outside fits nowhere."""
    found = np.full((len(rows), fit.shape[1]), fit.min(initial=-1.0), dtype=np.float32)
    for pitches, row in rows.items():
        inside = [midi - lowest for midi in pitches if 0 <= midi - lowest < len(fit)]
        if inside:
            found[row] = fit[inside].max(axis=0)
    return found
