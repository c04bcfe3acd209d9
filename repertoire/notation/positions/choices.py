"""What can be chosen for an event: one hand position and, for each of its notes, a string and a finger."""

from dataclasses import dataclass
from functools import cached_property
from itertools import product

from repertoire.notation.positions.hand import OPEN, Fingerboard, Stop, stops

Wanted = tuple[int | None, int | None]  # finger, string; None is free


@dataclass(frozen=True)
class Choice:
    """The stops of notes struck together, lowest note first, with the hand in one position."""

    stops: tuple[Stop, ...]
    position: int

    @cached_property
    def is_open(self) -> bool:
        """Whether only open strings sound."""
        return all(stop.finger == OPEN for stop in self.stops)

    @cached_property
    def stretched(self) -> bool:
        """Whether a finger reaches out of the hand."""
        return any(stop.stretched for stop in self.stops)

    @cached_property
    def strings(self) -> tuple[int, ...]:
        """The string of each note, the first string (I) being 0."""
        return tuple(stop.string for stop in self.stops)


def choices(
    board: Fingerboard,
    pitches: tuple[tuple[int, int], ...],
    wanted: tuple[Wanted, ...],
    *,
    open_strings: bool,
    highest: int | None,
) -> tuple[Choice, ...]:
    """Every choice for `pitches` (MIDI, letter); locked notes may leave the limits the others keep.

    Where open strings are off, they are still taken for what no finger can stop. An open string leaves the
    hand anywhere, so it is offered once for every position. Notes struck together lie on neighbouring
    strings, the lower note on the lower string.
    """
    found = _together(board, pitches, wanted, open_strings, highest)
    return found or _together(board, pitches, wanted, True, highest)


def _together(
    board: Fingerboard,
    pitches: tuple[tuple[int, int], ...],
    wanted: tuple[Wanted, ...],
    open_strings: bool,
    highest: int | None,
) -> tuple[Choice, ...]:
    by_note = [
        _allowed(stops(board, midi, letter), lock, open_strings, highest)
        for (midi, letter), lock in zip(pitches, wanted, strict=True)
    ]
    anywhere = {position for position in board.positions if highest is None or position <= highest}
    found: list[Choice] = []
    for lowest in range(len(pitches) - 1, len(board.strings)):
        on_strings = [[s for s in near if s.string == lowest - k] for k, near in enumerate(by_note)]
        for together in product(*on_strings):
            hands = {stop.position for stop in together if stop.finger != OPEN}
            if len(hands) < 2 and _fits(together):
                found += (Choice(together, hand) for hand in sorted(hands or anywhere))
    return tuple(dict.fromkeys(found))


def _allowed(every: tuple[Stop, ...], wanted: Wanted, open_strings: bool, highest: int | None) -> list[Stop]:
    finger, string = wanted
    if finger is not None or string is not None:
        return [s for s in every if finger in (None, s.finger) and string in (None, s.string)]
    near = [stop for stop in every if highest is None or stop.position <= highest]
    stopped = [stop for stop in near if stop.finger != OPEN]
    return near if open_strings or not stopped else stopped


def _fits(together: tuple[Stop, ...]) -> bool:
    """No finger in two places; one finger may lie across two strings at the same place."""
    placed: dict[int, int] = {}
    return all(
        stop.finger == OPEN or placed.setdefault(stop.finger, stop.place) == stop.place for stop in together
    )
