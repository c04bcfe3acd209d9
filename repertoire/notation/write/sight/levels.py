"""How hard a sight-reading exercise is: five levels, from steps in quarters to ties, triplets and octaves.

What comes at which level is common practice; no published source.
"""

from dataclasses import dataclass
from fractions import Fraction

Q, E, S, T = Fraction(1), Fraction(1, 2), Fraction(1, 4), Fraction(1, 3)
LONG = Fraction(3, 2)


@dataclass(frozen=True, slots=True)
class Cell:
    """A rhythm of one beat or more: lengths in quarters, those of rests below 0, how often it comes."""

    lengths_q: tuple[Fraction, ...]
    weight: float

    @property
    def length_q(self) -> Fraction:
        """How long it lasts altogether."""
        return sum((abs(length) for length in self.lengths_q), Fraction(0))


@dataclass(frozen=True, slots=True)
class Level:
    """What may come. `steps` are weights of intervals, by how far apart two notes stand on the staff.

    `window` counts the steps from the lowest to the highest note, `chromatic` the notes altered beside the
    key. `bpm` counts quarters where the beat is plain, `compound_bpm` beats of three eighths, `half_bpm`
    halves.
    """

    simple: tuple[Cell, ...]
    compound: tuple[Cell, ...]
    steps: dict[int, float]
    window: int
    bars: int
    bpm: int
    compound_bpm: int
    half_bpm: int
    chromatic: int = 0
    raised: bool = True  # the leading note of a minor key
    ties: float = 0.0  # in which share of bar lines


def _cells(*rows: tuple[float, tuple[Fraction, ...]]) -> tuple[Cell, ...]:
    return tuple(Cell(lengths, weight) for weight, lengths in rows)


_SIMPLE = {
    1: _cells((6, (Q,)), (3, (2 * Q,))),
    2: _cells((5, (Q,)), (2, (2 * Q,)), (4, (E, E)), (1, (3 * Q,))),
    3: _cells((4, (Q,)), (4, (E, E)), (3, (LONG, E)), (1, (2 * Q,)), (1, (-Q,))),
    4: _cells(
        *((3, (Q,)), (4, (E, E)), (2, (S, S, S, S)), (3, (E, S, S)), (2, (S, S, E)), (2, (LONG, E))),
        *((2, (E, Q, E)), (2, (3 * S, S)), (1, (-E, E)), (1, (-Q,))),
    ),
    5: _cells(
        *((2, (Q,)), (3, (E, E)), (3, (S, S, S, S)), (3, (E, S, S)), (2, (S, S, E)), (2, (S, E, S))),
        *((2, (T, T, T)), (2, (E, Q, E)), (2, (3 * S, S)), (2, (-E, E)), (1, (LONG, S, S))),
    ),
}
_COMPOUND = {
    1: _cells((5, (LONG,)), (2, (Q, E))),
    2: _cells((3, (LONG,)), (4, (Q, E)), (4, (E, E, E))),
    3: _cells((2, (LONG,)), (4, (Q, E)), (4, (E, E, E)), (2, (E, Q)), (1, (-E, E, E))),
    4: _cells(
        (3, (Q, E)), (4, (E, E, E)), (2, (E, Q)), (3, (3 * S, S, E)), (2, (E, S, S, E)), (1, (-E, E, E))
    ),
    5: _cells(
        *((2, (Q, E)), (3, (E, E, E)), (3, (3 * S, S, E)), (2, (E, S, S, E)), (3, (S, S, S, S, E))),
        *((2, (S, S, S, S, S, S)), (2, (-E, E, E)), (1, (E, Q))),
    ),
}
_WIDE_STEPS: dict[int, float] = {0: 1, 1: 7, 2: 4, 3: 3, 4: 2, 5: 2, 7: 1}
LEVELS = {
    1: Level(_SIMPLE[1], _COMPOUND[1], {0: 1, 1: 9, 2: 2}, 5, 4, 60, 44, 40, raised=False),
    2: Level(_SIMPLE[2], _COMPOUND[2], {0: 1, 1: 8, 2: 3, 3: 1}, 7, 8, 66, 48, 44),
    3: Level(_SIMPLE[3], _COMPOUND[3], {0: 1, 1: 8, 2: 3, 3: 2, 4: 1}, 9, 8, 72, 52, 48, 1),
    4: Level(_SIMPLE[4], _COMPOUND[4], {0: 1, 1: 8, 2: 4, 3: 2, 4: 2, 5: 1}, 11, 8, 72, 52, 48, 2, ties=0.1),
    5: Level(_SIMPLE[5], _COMPOUND[5], _WIDE_STEPS, 13, 8, 76, 56, 52, 3, ties=0.25),
}
