"""Where a player's pitch leans as a habit: by how a note is reached, by register, string and scale degree.

Each group rests on confident notes only. What stands in several groups is counted in each.

Cents in and out; a group with fewer than `LEAST_NOTES` notes gives no tendency. Nothing is raised.
"""

import itertools
from collections import defaultdict
from dataclasses import dataclass

import numpy as np

from recordings.analysis.statistics import robust_spread

LEAP_SEMITONES = 5  # a fourth: as far as one hand position reaches on the violin (common practice)
LEAST_NOTES = 5  # for a median to be told at all
NEAREST_SPAN = 12  # semitones; within an octave there are no registers to speak of
NOTICED_CENTS = 5.0  # a note this far to the side of the middle agrees with it (standards: just noticed)
APPROACH, REGISTER, STRING, DEGREE = "approach", "register", "string", "degree"


@dataclass(frozen=True, slots=True)
class Tendency:
    """Median deviation of a group of confident notes; `agreeing_count` of them lie off to that side.

    `low_midi` and `high_midi` bound registers and strings, sounding; None elsewhere.
    """

    group: str
    name: str
    deviation_cents: float
    spread_cents: float
    note_count: int
    agreeing_count: int
    low_midi: int | None = None
    high_midi: int | None = None


@dataclass(frozen=True, slots=True)
class Group:
    """Confident notes that have something in common."""

    group: str
    name: str
    notes: tuple
    low_midi: int | None = None
    high_midi: int | None = None

    @property
    def cents(self) -> np.ndarray:
        """(notes,) deviations."""
        return np.array([n.deviation_cents for n in self.notes])


def groups(
    notes: tuple, trusted: list, *, keynote: int | None = None, open_strings: tuple[int, ...] = ()
) -> list[Group]:
    """All groups; `notes` are all printed notes in played order, `trusted` the confident ones among them."""
    if not trusted:
        return []
    return [
        *_approaches(notes, {id(n) for n in trusted}),
        *_registers(trusted),
        *_strings(trusted, open_strings),
        *_degrees(trusted, keynote),
    ]


def clear_tendencies(found: list[Group]) -> tuple[Tendency, ...]:
    """The groups with enough notes, as numbers."""
    return tuple(tendency(g) for g in found if len(g.notes) >= LEAST_NOTES)


def tendency(group: Group) -> Tendency:
    """The numbers of one group, however small it is; it has at least one note."""
    cents = group.cents
    middle = float(np.median(cents))
    side = np.sign(middle) or 1.0
    return Tendency(
        group.group, group.name, middle, robust_spread(cents), cents.size,
        int(np.sum(cents * side >= NOTICED_CENTS)), group.low_midi, group.high_midi,
    )  # fmt: skip


def _approaches(notes: tuple, trusted: set[int]) -> list[Group]:
    """Leaps and steps, up and down. After a missing or another note nothing is known of the way here."""
    found: dict[str, list] = defaultdict(list)
    for before, note in itertools.pairwise(notes):
        interval = note.midi - before.midi
        if id(note) not in trusted or not interval or before.status != "played":
            continue
        size = "leap" if abs(interval) >= LEAP_SEMITONES else "step"
        found[f"{size}_{'up' if interval > 0 else 'down'}"].append(note)
    return [Group(APPROACH, name, tuple(members)) for name, members in sorted(found.items())]


def _registers(trusted: list) -> list[Group]:
    """The lower, middle and upper third of the span that is played."""
    pitches = [n.midi for n in trusted]
    low, high = min(pitches), max(pitches)
    if high - low < NEAREST_SPAN:
        return []
    edges = np.round(np.linspace(low, high + 1, 4)).astype(int)
    return [
        Group(REGISTER, name, tuple(n for n in trusted if first <= n.midi < last), int(first), int(last - 1))
        for name, (first, last) in zip(("low", "middle", "high"), itertools.pairwise(edges), strict=True)
    ]


def _strings(trusted: list, open_strings: tuple[int, ...]) -> list[Group]:
    """From one open string to below the next: on which string a note is really taken is not guessed."""
    edges = [*sorted(open_strings), 128]
    return [
        Group(STRING, str(number), tuple(n for n in trusted if first <= n.midi < last), first, last - 1)
        for number, (first, last) in enumerate(itertools.pairwise(edges), start=1)
        if any(first <= n.midi < last for n in trusted)
    ]


def _degrees(trusted: list, keynote: int | None) -> list[Group]:
    """Semitones above the tonic of the key printed at the start; modulations are not guessed."""
    if keynote is None:
        return []
    found: dict[int, list] = defaultdict(list)
    for note in trusted:
        found[7 * (note.fifths - keynote) % 12].append(note)
    return [Group(DEGREE, str(degree), tuple(members)) for degree, members in sorted(found.items())]
