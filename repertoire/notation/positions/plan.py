"""The fingering that keeps the hand still longest: the exact optimum of the cost stated in `cost.py`.

Over the events of the printed music (a note, or notes struck together) a dynamic programme keeps, for every
choice of string, finger and position, the cheapest way to arrive there. Every bar is planned once, as
printed: the way back at a repeat is not weighed. Voices that overlap are planned by their onsets; a note
held under another is not kept in the hand. Trills are planned as their written note. Times are seconds, costs
whole numbers; what no hand can play is left out with a sentence, never raised.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise

from repertoire.notation import messages
from repertoire.notation.positions.choices import Choice, choices
from repertoire.notation.positions.cost import NEVER, Step, arrival_cost, standing_cost, step_of
from repertoire.notation.positions.events import Event, events_of
from repertoire.notation.positions.hand import Fingerboard
from repertoire.notation.positions.names import lock_sentence, unplanned_sentence
from repertoire.notation.score import Score
from repertoire.notation.sentence import Sentence

OVERLAP_S = 1e-6  # rounding of note lengths


@dataclass(frozen=True, slots=True)
class Lock:
    """What the teacher has chosen for a note; None leaves it to the plan. `string` counts from 0."""

    finger: int | None = None
    string: int | None = None


@dataclass(frozen=True, slots=True)
class Options:
    """`highest` is the highest position the hand may go to, None for the whole fingerboard."""

    open_strings: bool = True
    highest: int | None = None


@dataclass(frozen=True, slots=True)
class PlannedNote:
    """`position` is where the hand stands, also while an open string sounds; `shifted`: it moved for this."""

    note_id: str
    measure_index: int
    string: int
    finger: int
    position: int
    stretched: bool
    shifted: bool


@dataclass(frozen=True, slots=True)
class Plan:
    """`cost` in hundredths; `remarks` say with their bar what could not be planned or kept."""

    notes: tuple[PlannedNote, ...]
    cost: int
    remarks: tuple[Sentence, ...] = ()
    choices: tuple[Choice, ...] = field(default=(), repr=False)

    def shifts_by_measure(self) -> dict[int, int]:
        """Shifts by printed bar; notes struck together count once."""
        counts: dict[int, int] = {}
        for note in self.notes:
            counts[note.measure_index] = counts.get(note.measure_index, 0) + note.shifted
        return counts

    @property
    def shifts(self) -> int:
        """How often the hand moves."""
        return sum(note.shifted for note in self.notes)


def plan(
    score: Score,
    *,
    board: Fingerboard,
    quarter_bpm: float,
    bars: tuple[str, str] | None = None,
    options: Options | None = None,
    locks: Mapping[str, Lock] | None = None,
) -> Plan:
    """Plan the printed bars `bars` (from, to; all when None) at `quarter_bpm` quarter notes a minute.

    A lock that cannot be played is said in `remarks` and left out; so is a note outside the instrument.
    """
    events = events_of(score, quarter_bpm=quarter_bpm, bars=bars)
    kept, offered, remarks = offers(score, events, board, options or Options(), locks or {})
    chosen, cost = cheapest(kept, offered, board)
    remarks += overlap_sentences(score, events)
    return Plan(_planned(kept, chosen), cost, tuple(remarks), tuple(chosen))


def lowest_first(
    score: Score, *, board: Fingerboard, quarter_bpm: float, bars: tuple[str, str] | None = None
) -> Plan:
    """What a reader does who looks at one note at a time: every note in the lowest position it can have."""
    events = events_of(score, quarter_bpm=quarter_bpm, bars=bars)
    kept, offered, remarks = offers(score, events, board, Options(), {})
    chosen: list[Choice] = []
    for near in offered:
        hand = chosen[-1].position if chosen else board.positions[0]
        here = [choice for choice in near if not choice.is_open or choice.position == hand]
        chosen.append(min(here, key=lambda c: (not c.is_open, c.position, c.stretched, c.strings)))
    return Plan(_planned(kept, chosen), total_cost(kept, chosen, board), tuple(remarks), tuple(chosen))


def offers(
    score: Score,
    events: tuple[Event, ...],
    board: Fingerboard,
    options: Options,
    locks: Mapping[str, Lock],
) -> tuple[list[Event], list[tuple[Choice, ...]], list[Sentence]]:
    """The events that can be planned, what can be chosen for each, and sentences about all others."""
    known: dict[object, tuple[Choice, ...]] = {}
    kept: list[Event] = []
    offered: list[tuple[Choice, ...]] = []
    remarks: list[Sentence] = []
    for event in events:
        bar = score.measures[event.measure_index].number
        wanted = tuple(locks.get(note.note_id, Lock()) for note in event.notes)
        free = _offer(known, event, board, options, (Lock(),) * len(wanted))
        here = _offer(known, event, board, options, wanted)
        if not free and not here:
            remarks.append(unplanned_sentence(event, bar, board))
            continue
        if not here:
            remarks.append(lock_sentence(event, bar))
        kept.append(event)
        offered.append(here or free)
    return kept, offered, remarks


def _offer(
    known: dict[object, tuple[Choice, ...]],
    event: Event,
    board: Fingerboard,
    options: Options,
    wanted: tuple[Lock, ...],
) -> tuple[Choice, ...]:
    key = (event.pitches, wanted)
    if key not in known:
        locked = tuple((lock.finger, lock.string) for lock in wanted)
        known[key] = choices(
            board, event.pitches, locked, open_strings=options.open_strings, highest=options.highest
        )
    return known[key]


def cheapest(
    events: list[Event], offered: list[tuple[Choice, ...]], board: Fingerboard
) -> tuple[list[Choice], int]:
    """One choice an event with the least total cost; the first of equals in the order offered."""
    if not events:
        return [], 0
    tables: dict[object, list[list[int]]] = {}
    costs = [standing_cost(choice, board) for choice in offered[0]]
    came_from: list[list[int]] = []
    for k in range(1, len(events)):
        step = step_of(events[k - 1], events[k])
        key = (id(offered[k - 1]), id(offered[k]), step)
        table = tables.get(key)
        if table is None:
            table = tables[key] = _table(offered[k - 1], offered[k], step, board)
        nearest: list[int] = []
        arrived: list[int] = []
        for column in table:
            sums = [cost + more for cost, more in zip(costs, column, strict=True)]
            least = min(sums)
            nearest.append(sums.index(least))
            arrived.append(min(least, NEVER))
        came_from.append(nearest)
        costs = arrived
    at = costs.index(min(costs))
    total, path = costs[at], [at]
    for nearest in reversed(came_from):
        path.append(nearest[path[-1]])
    path.reverse()
    return [offered[k][index] for k, index in enumerate(path)], total


def _table(
    before: tuple[Choice, ...], after: tuple[Choice, ...], step: Step, board: Fingerboard
) -> list[list[int]]:
    """By choice to arrive at: the cost from every choice before it."""
    standing = [standing_cost(other, board) for other in after]
    return [
        [arrival_cost(earlier, other, step, board) + more for earlier in before]
        for other, more in zip(after, standing, strict=True)
    ]


def overlap_sentences(score: Score, events: tuple[Event, ...]) -> list[Sentence]:
    """One sentence for each bar in which a note begins while an earlier one still sounds."""
    bars = {
        after.measure_index: score.measures[after.measure_index].number
        for before, after in pairwise(events)
        if after.start_s < before.end_s - OVERLAP_S
    }
    return [messages.PLAN_VOICES(bar=bar) for bar in bars.values()]


def total_cost(events: list[Event], chosen: list[Choice], board: Fingerboard) -> int:
    """What a whole fingering costs; NEVER or more where it cannot be played."""
    total = sum(standing_cost(choice, board) for choice in chosen)
    for k in range(1, len(events)):
        total += arrival_cost(chosen[k - 1], chosen[k], step_of(events[k - 1], events[k]), board)
    return total


def _planned(events: list[Event], chosen: list[Choice]) -> tuple[PlannedNote, ...]:
    planned: list[PlannedNote] = []
    for k, (event, choice) in enumerate(zip(events, chosen, strict=True)):
        shifted = k > 0 and choice.position != chosen[k - 1].position
        for n, (note, stop) in enumerate(zip(event.notes, choice.stops, strict=True)):
            planned.append(
                PlannedNote(
                    note_id=note.note_id,
                    measure_index=note.measure_index,
                    string=stop.string,
                    finger=stop.finger,
                    position=choice.position,
                    stretched=stop.stretched,
                    shifted=shifted and n == 0,
                )
            )
    return tuple(planned)
