"""Six short etudes of different kinds, made fresh for a player's range from a seed.

runs: sixteenths with first and second endings; legato: slow slurred notes with vibrato; rhythms: dotted and
triplet figures in a da capo to a coda; leaps: broken chords with a repeat; repeated: repeated pitches in 6/8;
expression: levels, hairpins, accents, a ritardando and its a tempo.
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from .instruments import Player
from .sheet import Bar, Sheet, Written

MAJOR = (0, 2, 4, 5, 7, 9, 11)
SPAN = 12  # scale degrees above the tonic that the etudes use


class Line:
    """Scale degrees that walk inside the player's range."""

    def __init__(self, player: Player, rng: np.random.Generator):
        self.player, self.rng = player, rng
        self.tonic = player.tonic + int(rng.integers(0, 5))
        self.degree = int(rng.integers(0, 5))

    def step(self, choices: tuple[int, ...]) -> int:
        """Move by one of `choices` degrees, turning back at the ends; the MIDI number reached."""
        move = int(self.rng.choice(choices))
        if not 0 <= self.degree + move <= SPAN:
            move = -move
        self.degree = int(np.clip(self.degree + move, 0, SPAN))
        midi = self.tonic + 12 * (self.degree // 7) + MAJOR[self.degree % 7]
        return midi - 12 if midi > self.player.highest else midi

    def run(self, count: int) -> list[int]:
        """`count` notes by step in one direction, turning back at the ends."""
        way = 1 if self.degree < SPAN / 2 else -1
        return [self.step((way,)) for _note in range(count)]


def _final(line: Line, length: int) -> Bar:
    line.degree = 7
    return Bar((Written(line.step((0,)), length),))


def runs(line: Line) -> Sheet:
    bars = []
    for _number in range(5):
        notes = [Written(midi, 3) for _group in range(2) for midi in line.run(6)]
        bars.append(Bar((*notes[:12], *(Written(line.step((1, -1, 2, -2)), 6) for _two in range(2)))))
    bars[0] = replace(bars[0], repeat_from=True)
    bars[3] = replace(bars[3], ending=1, repeat_to=True)
    bars[4] = replace(bars[4], ending=2)
    bars.append(Bar(tuple(Written(midi, 3) for _group in range(2) for midi in line.run(8))))
    return Sheet("Runs", 4, 4, 88.0, (*bars, _final(line, 48)))


def legato(line: Line) -> Sheet:
    bars = []
    for number in range(7):
        lengths = ((12, 12, 24), (24, 12, 12), (12, 12, 12, 12), (36, 12))[number % 4]
        notes = [Written(line.step((1, -1, 2, -2, 3)), length) for length in lengths]
        notes[0], notes[-1] = replace(notes[0], slur="start"), replace(notes[-1], slur="stop")
        bars.append(Bar(tuple(notes)))
    return Sheet("Legato", 4, 4, 66.0, (*bars, _final(line, 48)))


def rhythms(line: Line) -> Sheet:
    figures = ((9, 3, 9, 3, 12), (4, 4, 4, 12, 12), (18, 6, 4, 4, 4), (12, 9, 3, 4, 4, 4))
    bars = []
    for number in range(8):
        lengths = figures[int(line.rng.integers(0, 4))] if number % 2 else figures[number // 2 % 4]
        bars.append(Bar(tuple(Written(line.step((1, -1, 2, -2)), length) for length in lengths)))
    bars[3] = replace(bars[3], to_coda=True)
    bars[7] = replace(bars[7], da_capo=True)
    coda = Bar(tuple(Written(line.step((1, -1)), length) for length in (9, 3, 12, 12)), coda=True)
    return Sheet("Rhythms", 3, 4, 84.0, (*bars, coda, _final(line, 36)))


def leaps(line: Line) -> Sheet:
    bars = []
    for _number in range(7):
        notes = [Written(line.step((4, -4, 5, -5, 7, 2, -3)), 6) for _note in range(6)]
        bars.append(Bar((*notes, Written(line.step((3, -3)), 12))))
    bars[0] = replace(bars[0], repeat_from=True)
    bars[3] = replace(bars[3], repeat_to=True)
    return Sheet("Leaps", 4, 4, 92.0, (*bars, _final(line, 48)))


def repeated(line: Line) -> Sheet:
    bars = []
    for number in range(11):
        counts = ((6,), (3, 3), (2, 4), (3, 2, 1))[number % 4]
        notes = [midi for count in counts for midi in [line.step((1, -1, 2, -2, 3))] * count]
        bars.append(Bar(tuple(Written(midi, 6) for midi in notes)))
    return Sheet("Repeated notes", 6, 8, 58.0, (*bars, _final(line, 36)))


def expression(line: Line) -> Sheet:
    bars = [
        Bar(tuple(Written(line.step((1, -1, 2, -2)), length) for length in (6, 6, 12, 6, 6, 12)))
        for _number in range(13)
    ]
    signs: dict[int, dict] = {
        0: {"level": "p"}, 2: {"hairpin": "crescendo"}, 3: {"hairpin_ends": True}, 4: {"level": "f"},
        6: {"hairpin": "diminuendo"}, 7: {"hairpin_ends": True}, 8: {"level": "p"},
        10: {"words": "rit."}, 12: {"words": "a tempo", "level": "f"},
    }  # fmt: skip
    for number, marks in signs.items():
        bars[number] = replace(bars[number], **marks)
    for number in (1, 5, 9):
        notes = bars[number].notes
        bars[number] = replace(bars[number], notes=(*notes[:3], replace(notes[3], accent=True), *notes[4:]))
    ramp = ((0, 1.0), (9, 1.0), (10, 0.92), (11, 0.8), (12, 1.0))
    return Sheet("Expression", 4, 4, 96.0, (*bars, _final(line, 48)), ramp)


ETUDES: dict[str, Callable[[Line], Sheet]] = {
    "runs": runs,
    "legato": legato,
    "rhythms": rhythms,
    "leaps": leaps,
    "repeated": repeated,
    "expression": expression,
}


def etude(kind: str, player: Player, rng: np.random.Generator) -> Sheet:
    """A fresh etude of this kind in the player's range; the same generator state, the same etude."""
    return ETUDES[kind](Line(player, rng))
