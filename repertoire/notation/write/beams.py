"""Beams: which notes of a bar are joined, at each level (eighths 1, sixteenths 2, thirty-seconds 3).

Common practice, no published source. Places and lengths are exact fractions of a quarter.
"""

from dataclasses import dataclass
from fractions import Fraction

QUARTER_Q = Fraction(1)
HALF_BAR_Q = 2
WHOLE_BAR_OF_THREE_Q = 3


@dataclass(frozen=True, slots=True)
class Lengths:
    """Where a note stands in its bar and how many beams it can carry; none for a quarter or longer."""

    start_q: Fraction
    length_q: Fraction
    levels: int


def beams_of(bar: list[Lengths], *, beat_q: Fraction = QUARTER_Q) -> list[list[str]]:
    """For each note its beams by level, outermost first; nothing is joined over a rest.

    In beats of a quarter plain eighths are joined by half bars of four or whole bars of three, and all else
    by beats; in longer beats (`beat_q` 3/2 in six eight) everything is joined by beats.
    """
    groups = _groups(bar, beat_q)
    return [
        [_beam(bar, groups, k, level) for level in range(1, note.levels + 1)] if _is_joined(groups, k) else []
        for k, note in enumerate(bar)
    ]


def _groups(bar: list[Lengths], beat_q: Fraction) -> list[tuple[int, int] | None]:
    if beat_q > QUARTER_Q:
        return [(0, int(note.start_q / beat_q)) if note.levels else None for note in bar]
    quick = {int(note.start_q) for note in bar if note.levels > 1}  # beats with sixteenths hold together
    whole_q = bar[-1].start_q + bar[-1].length_q
    span = WHOLE_BAR_OF_THREE_Q if whole_q == WHOLE_BAR_OF_THREE_Q else HALF_BAR_Q
    eighth = Fraction(1, 2)
    groups: list[tuple[int, int] | None] = []
    for note in bar:
        if not note.levels:
            groups.append(None)
        elif note.levels == 1 and note.length_q == eighth and int(note.start_q) not in quick:
            groups.append((span, int(note.start_q / span)))
        else:
            groups.append((1, int(note.start_q)))
    return groups


def _is_joined(groups: list[tuple[int, int] | None], k: int) -> bool:
    return groups[k] is not None and any(
        groups[other] == groups[k] for other in (k - 1, k + 1) if 0 <= other < len(groups)
    )


def _beam(bar: list[Lengths], groups: list[tuple[int, int] | None], k: int, level: int) -> str:
    before = k > 0 and groups[k - 1] == groups[k] and bar[k - 1].levels >= level
    after = k + 1 < len(bar) and groups[k + 1] == groups[k] and bar[k + 1].levels >= level
    if before and after:
        return "continue"
    if before or after:
        return "end" if before else "begin"
    return "backward hook" if k > 0 and groups[k - 1] == groups[k] else "forward hook"
