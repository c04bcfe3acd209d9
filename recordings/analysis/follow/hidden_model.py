"""The hidden semi-Markov model of one take against one chain of events: all arrays `viterbi.run` wants.

Costs are in nats, per frame of the alignment's grid (23 ms) where they are named so. They were chosen on
synthetic takes, November 2026.
"""

import numpy as np

from recordings.analysis.follow.events import Event
from recordings.analysis.follow.lattice import Costs, Durations, Model
from recordings.analysis.follow.observation import Observations
from recordings.analysis.follow.score_context import printed_jumps
from recordings.analysis.follow.viterbi import priors_of
from recordings.analysis.sound.features import Features
from repertoire.notation.score import Form

COSTS = Costs(
    skip=13.0,
    jump=40.0,
    edge=7.0,
    wrong=5.0,
    wrong_most=1e9,
    wrong_lasting=0.0,
    beam=90.0,
)
# one long wrong note is one mistake; from the beginning, one such note would swallow half a minute
ONE_MISTAKE = COSTS._replace(wrong_most=8.0, wrong_lasting=0.2)
WRONG_FRAME_COST = 0.9
TALK_FRAME_COST = 0.9
AFTER_FRAME_COST = 0.4  # anything that sounds after the piece's end: a scale, a chord, talk
SILENT_NOTE_COST = 2.5
PAUSE_FRAME_COST = 0.12  # where no rest is printed
LATE_START_COST = 12.0
WIDE_START_COST = 8.0  # beginning with the bars around those asked for
EARLY_END_COST = 5.0
NO_START_COST = 1e9
ATTACK_GAIN, ATTACK_LEAST, ATTACK_MOST = 5.0, -1.5, 4.0
ATTACK_THRESHOLD = 0.25
SHORTEST_EXPECTED, LONGEST_FRAMES = 0.8, 2000
FADED_FRAMES = 12  # what is struck may be over so soon, however long it is printed
RINGING_NOTES = 2  # how many notes before may ring on under a new one
RINGING_CELLS = 20_000_000  # of pitch sets times frames, which is memory: a longer take is heard without
NARROW_SIGMA, NARROW_SLACK, WIDE_SLACK = 0.4, 2.0, 3.0  # how far a length may lie from what is expected


def pitch_sets(events: tuple[Event, ...], frames: int) -> tuple[list[tuple[int, ...]], list[list[int]], int]:
    """Distinct pitch sets (MIDI numbers), for each event which of them may explain it, how many are plain.

    A chord may come as its top or bottom note alone, a trill as its upper note. Behind the plain ones stand
    those in which the notes struck before ring on under the new ones.
    """
    sets: dict[tuple[int, ...], int] = {}
    columns = []
    for event in events:
        options = [event.pitches, event.struck]
        if len(event.struck) > 1:
            options += [(event.struck[-1],), (event.struck[0],)]
        if event.trill:
            options += [(event.struck[-1] + 1,), (event.struck[-1] + 2,)]
        columns.append([sets.setdefault(option, len(sets)) for option in dict.fromkeys(options)])
    plain = len(sets)
    for back in range(1, RINGING_NOTES + 1):
        if (len(sets) + len(events)) * frames > RINGING_CELLS:
            break
        for event, explaining in zip(events[back:], columns[back:], strict=True):
            before = events[event.index - back : event.index]
            ringing = tuple(sorted({*event.pitches}.union(*(earlier.struck for earlier in before))))
            column = sets.setdefault(ringing, len(sets))
            if column not in explaining:
                explaining.append(column)
    return list(sets), columns, plain


def build(
    features: Features,
    form: Form,
    events: tuple[Event, ...],
    columns: list[list[int]],
    observed: Observations,
    asked: range,
) -> Model:
    """The arrays of all passes; `columns`: rows of `observed.fit` that may explain each event;
    `asked`: the events of the bars asked for, among those of the bars around them.
    """
    distinct: dict[tuple[int, ...], int] = {}
    column = [distinct.setdefault(tuple(options), len(distinct)) for options in columns]
    quiet = SILENT_NOTE_COST * observed.silent
    fit = np.stack([observed.fit[list(options)].max(axis=0) - quiet for options in distinct])
    attack = np.clip(ATTACK_GAIN * (features.novelty - ATTACK_THRESHOLD), ATTACK_LEAST, ATTACK_MOST)
    pause_cost = [0.0 if e.sounding_q < e.length_q - 1e-3 or e.fermata else PAUSE_FRAME_COST for e in events]
    start_cost, end_cost = _edge_costs(events, asked)
    edge_start, edge_source = _edges(form, events)
    return Model(
        fit=fit.astype(np.float32),
        pause_fit=(-TALK_FRAME_COST * (1 - observed.silent)).astype(np.float32),
        after_fit=(-AFTER_FRAME_COST * (1 - observed.silent)).astype(np.float32),
        wrong=np.concatenate([[0.0], np.cumsum(-WRONG_FRAME_COST - quiet)]),
        attack=np.append(attack, ATTACK_LEAST).astype(np.float32),
        column=np.array(column, dtype=np.int32),
        pause_cost=np.array(pause_cost, dtype=np.float32),
        bar_first=np.array([e.first_in_bar for e in events], dtype=np.uint8),
        start_cost=start_cost,
        end_cost=end_cost,
        edge_start=edge_start,
        edge_source=edge_source,
        final=asked.stop - 1,
        jump_more=0.0,
        gate_at=np.zeros(0, dtype=np.int32),
        gate_event=np.zeros(0, dtype=np.int32),
    )


def _edge_costs(events: tuple[Event, ...], asked: range) -> tuple[np.ndarray, np.ndarray]:
    """(events,) float32 each: what beginning the take with an event costs, and ending it after one."""
    start = np.array([LATE_START_COST if e.first_in_bar else NO_START_COST for e in events], dtype=np.float32)
    start[0] = WIDE_START_COST
    start[asked.start] = 0.0
    end = np.full(len(events), EARLY_END_COST, dtype=np.float32)
    end[-1] = 0.0
    end[asked.stop - 1] = 0.0
    return start, end


def _edges(form: Form, events: tuple[Event, ...]) -> tuple[np.ndarray, np.ndarray]:
    """The printed jumps: (events + 1,) slices, and the events they come from."""
    first = {e.position: e.index for e in events if e.first_in_bar}
    last = {e.position: e.index for e in events}
    into: list[list[int]] = [[] for _ in events]
    for source, target in printed_jumps(form):
        if source in last and target in first:
            into[first[target]].append(last[source])
    starts = np.cumsum([0] + [len(sources) for sources in into])
    return starts.astype(np.int32), np.array([s for sources in into for s in sources], dtype=np.int32)


def durations(
    events: tuple[Event, ...], seconds_per_quarter: np.ndarray, sigma: float, frame_s: float
) -> Durations:
    """How long each event may last around the given tempo, (events,) seconds a quarter."""
    printed_q = np.array([e.length_q for e in events])
    expected = np.maximum(printed_q * seconds_per_quarter / frame_s, SHORTEST_EXPECTED)
    slack = NARROW_SLACK if sigma < NARROW_SIGMA else WIDE_SLACK
    shortest = np.clip(np.floor(expected / slack), 1, FADED_FRAMES).astype(np.int32)
    longest = np.maximum(shortest + 1, np.ceil(expected * slack)).astype(np.int32)
    return priors_of(expected, shortest, np.minimum(longest, LONGEST_FRAMES), sigma)
