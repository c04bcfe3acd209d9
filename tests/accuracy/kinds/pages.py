"""Pages of several notes at once, and a theme with its double; all drawn by lot from a generator."""

from dataclasses import replace

import numpy as np

from tests.accuracy.bench.etudes import MAJOR, etude
from tests.accuracy.bench.instruments import Player
from tests.accuracy.bench.sheet import Bar, Sheet, Written

STOPS = (3, 4, 5, 7, 8, 9, 12)  # semitones from the upper note of a double stop down to the lower
STOPPED_SHARE = 0.5  # of the notes of a page in double stops
CHORD_BARS, MOST_IN_A_CHORD = 10, 4


def in_double_stops(kind: str, player: Player, rng: np.random.Generator) -> Sheet:
    """An etude of the benchmark, about half of its notes with another below."""
    sheet = etude(kind, player, rng)

    def stopped(note: Written) -> Written:
        lower = (note.midi or 0) - int(rng.choice(STOPS))
        chosen = rng.random() < STOPPED_SHARE and note.midi is not None and lower >= player.lowest
        return replace(note, below=(lower,)) if chosen else note

    bars = tuple(replace(bar, notes=tuple(stopped(note) for note in bar.notes)) for bar in sheet.bars)
    return replace(sheet, bars=bars)


def of_chords(player: Player, rng: np.random.Generator) -> Sheet:
    """Quarters and halves of one to four notes in thirds."""
    bars = []
    for _number in range(CHORD_BARS):
        lengths = (12, 12, 12, 12) if rng.random() < 0.7 else (24, 12, 12)
        bars.append(Bar(tuple(_chord(player, rng, length) for length in lengths)))
    return Sheet("Chords", 4, 4, 76.0, tuple(bars))


def broken(player: Player, rng: np.random.Generator) -> Sheet:
    """Sixteenths up and down through chords, as a harp plays them."""
    bars = []
    for _number in range(8):
        notes = []
        for _half in range(2):
            root = int(rng.integers(0, 7))
            notes += [Written(_degree(player, root + step), 3) for step in (0, 2, 4, 7, 9, 7, 4, 2)]
        bars.append(Bar(tuple(notes)))
    return Sheet("Broken chords", 4, 4, 72.0, tuple(bars))


def theme(player: Player, rng: np.random.Generator) -> tuple[Sheet, Sheet]:
    """Eight bars of quarters, and their double: all its notes in sixteenths with others between."""
    plain, varied = [], []
    degree = 4
    for _number in range(8):
        degrees = []
        for _beat in range(4):
            degree = int(np.clip(degree + rng.choice((-3, -2, -1, 1, 2, 3)), 0, 11))
            degrees.append(degree)
        plain.append(Bar(tuple(Written(_degree(player, d), 12) for d in degrees)))
        between = [Written(_degree(player, d + step), 3) for d in degrees for step in (0, 1, -1, 2)]
        varied.append(Bar(tuple(between)))
    return Sheet("Theme", 4, 4, 72.0, tuple(plain)), Sheet("Double", 4, 4, 72.0, tuple(varied))


def _chord(player: Player, rng: np.random.Generator, length: int) -> Written:
    root = int(rng.integers(0, 9))
    thirds = sorted(rng.choice(5, size=int(rng.integers(1, MOST_IN_A_CHORD + 1)), replace=False))
    midis = [_degree(player, root + 2 * int(third)) for third in thirds]
    return Written(midis[-1], length, below=tuple(midis[:-1]))


def _degree(player: Player, degree: int) -> int:
    return player.tonic + 12 * (degree // 7) + MAJOR[degree % 7]
