"""The rhythm of an exercise: beats filled with cells, a figure that comes back, a long note to end on."""

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from repertoire.notation.write.bar import is_single
from repertoire.notation.write.sight.chance import Chance
from repertoire.notation.write.sight.levels import Cell, Level

QUARTER_Q = Fraction(1)
LONG_BAR_Q = Fraction(9, 2)  # so long bars are half as many
COMES_BACK = 0.6  # the figure of the beginning, after the middle
LEAST_TIED_Q = Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class Metre:
    """A time signature."""

    beats: int
    beat_type: int

    @property
    def bar_q(self) -> Fraction:
        """Length of a bar in quarters."""
        return Fraction(4 * self.beats, self.beat_type)

    @property
    def is_compound(self) -> bool:
        """Whether three eighths make a beat."""
        return self.beat_type == 8 and self.beats % 3 == 0

    @property
    def beat_q(self) -> Fraction:
        """The beat in quarters, as it is counted and joined."""
        return Fraction(3, 2) if self.is_compound else Fraction(4, self.beat_type)


@dataclass(frozen=True, slots=True)
class Slot:
    """One note to be, or a rest; `tied` holds the note before it on, over the bar line."""

    bar: int
    start_q: Fraction
    length_q: Fraction
    is_rest: bool = False
    tied: bool = False


def rhythm_of(metre: Metre, level: Level, chance: Chance) -> list[Slot]:
    """The slots of all bars in order; a phrase ends with the middle bar and with the last."""
    bars = count_of_bars(metre, level)
    middle = bars // 2 - 1
    lengths: list[tuple[Fraction, ...]] = []
    for bar in range(bars):
        if bar in (middle, bars - 1):
            lengths.append(_ending(metre, level, chance))
        elif bar > middle and chance.happens(COMES_BACK):
            lengths.append(lengths[bar - middle - 1])
        else:
            lengths.append(_filled(metre.bar_q, metre, level, chance))
    return _with_ties(_placed(lengths), level, chance)


def count_of_bars(metre: Metre, level: Level) -> int:
    """How many bars an exercise has: fewer where bars are long."""
    return max(4, level.bars // 2) if metre.bar_q >= LONG_BAR_Q else level.bars


def _filled(room_q: Fraction, metre: Metre, level: Level, chance: Chance) -> tuple[Fraction, ...]:
    lengths: list[Fraction] = []
    at = Fraction(0)
    while at < room_q:
        cells = [cell for cell in _cells(metre, level) if _fits(cell, at, room_q, metre)]
        cell = chance.one_of(cells, [cell.weight for cell in cells])
        lengths += cell.lengths_q
        at += cell.length_q
    if all(length < 0 for length in lengths):
        return tuple(abs(length) for length in lengths)
    return tuple(lengths)


def _cells(metre: Metre, level: Level) -> tuple[Cell, ...]:
    return level.compound if metre.is_compound else level.simple


def _fits(cell: Cell, at: Fraction, room_q: Fraction, metre: Metre) -> bool:
    """Inside the bar; what lasts two quarters begins on the first or third of four: beats stay seen."""
    if at + cell.length_q > room_q:
        return False
    if metre.is_compound or cell.length_q <= QUARTER_Q or metre.bar_q % 2:
        return True
    return at % 2 == 0


def _ending(metre: Metre, level: Level, chance: Chance) -> tuple[Fraction, ...]:
    """Some beats without rests, and a note that lasts half the bar or longer."""
    unit_q = metre.beat_q
    beats = int(metre.bar_q / unit_q)
    choices = [
        count for count in range(beats) if is_single(metre.bar_q - count * unit_q) and 2 * count <= beats
    ]
    before = chance.one_of(choices) * unit_q
    if metre.bar_q - before == metre.bar_q and beats > 1 and len(choices) > 1 and chance.happens(0.5):
        before = choices[1] * unit_q
    filled = _filled(before, metre, level, chance) if before else ()
    return (*(abs(length) for length in filled), metre.bar_q - before)


def _placed(lengths: list[tuple[Fraction, ...]]) -> list[Slot]:
    slots = []
    for bar, row in enumerate(lengths):
        at = Fraction(0)
        for length in row:
            slots.append(Slot(bar, at, abs(length), is_rest=length < 0))
            at += abs(length)
    return slots


def _with_ties(slots: list[Slot], level: Level, chance: Chance) -> list[Slot]:
    """Some bar lines are crossed by a held note, which its second half does not strike again."""
    tied = [slots[0]]
    last = slots[-1].bar
    for before, slot in pairwise(slots):
        crosses = slot.start_q == 0 and slot.bar < last and not (before.is_rest or slot.is_rest)
        long_enough = min(before.length_q, slot.length_q) >= LEAST_TIED_Q
        if crosses and long_enough and not tied[-1].tied and chance.happens(level.ties):
            slot = Slot(slot.bar, slot.start_q, slot.length_q, tied=True)
        tied.append(slot)
    return tied
