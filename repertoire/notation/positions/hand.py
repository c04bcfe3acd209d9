"""Fingerboards and hand frames: which finger of which position stops a note on which string.

A *place* on a string is counted in semitones above the open string. A *position* is where the hand stands:

- double bass and cello: the semitone of the first finger above the open string (2: first position). In thumb
  position it is the thumb's semitone plus `THUMB_FROM`.
- violin and viola: the number of the position, by the letters of the notes as violin methods count it: in
  position n the finger f stops the (n + f - 1)th letter above the open string's, lowered or raised.

Frames: F. Simandl, New Method for the Double Bass (1-2-4 a semitone apart, from the half to the seventh
position); J. J. F. Dotzauer and B. Romberg, violoncello methods (close and extended hand, thumb position);
C. H. Hohmann, Practical Violin Method, and O. Sevcik, School of Violin Technics (positions by letters). All
from memory. What says "common practice" has no published source.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum

from repertoire.notation.pitches import spelled_without_key

Reaches = Mapping[int, tuple[int, ...]]  # by finger: semitones above the position

OPEN, THUMB = 0, 5
THUMB_FROM = 100  # positions of the thumb are told from those of the neck by this much
OCTAVE = 12

# Cello: common practice. Up to the fourth position four fingers a semitone apart; above it, up to the
# seventh, three fingers a semitone or a whole tone apart, as the fourth no longer reaches round the body.
CELLO_NECK = range(1, 8)
CELLO_UPPER = range(8, 13)
CELLO_CLOSE: Reaches = {1: (0,), 2: (1,), 3: (2,), 4: (3,)}
CELLO_STRETCHED: Reaches = {1: (-1,), 2: (2,), 3: (3,), 4: (4,)}  # first finger back, or the others forward
CELLO_UPPER_CLOSE: Reaches = {1: (0,), 2: (1, 2), 3: (2, 3)}
CELLO_UPPER_STRETCHED: Reaches = {3: (4,)}

# Bass: Simandl's hand; the third finger takes the fourth's place high on the neck (common practice).
BASS_NECK = range(1, 10)
BASS_UPPER = range(10, 13)
BASS_CLOSE: Reaches = {1: (0,), 2: (1,), 4: (2,)}
BASS_UPPER_CLOSE: Reaches = {1: (0,), 2: (1,), 3: (2,)}

NO_STRETCH: Reaches = {}

# Thumb position, cello and bass: thumb and third finger span a fourth (common practice).
THUMB_LOWEST = OCTAVE
THUMB_HIGHEST = 24
THUMB_CLOSE: Reaches = {THUMB: (0,), 1: (1, 2), 2: (3, 4), 3: (4, 5)}

# Violin and viola: semitones of the letters above the open string, and where a finger stands without a
# stretch, low or high. Seconds, thirds, sixths and sevenths are minor or major, fourths perfect or raised,
# fifths perfect or lowered; further out the finger stretches.
LETTERS = (0, 2, 4, 5, 7, 9, 11)
PLACED = ((0, -1, 1), (-1, 0), (-1, 0), (0, 1), (0, -1), (-1, 0), (-1, 0))
PLACED_STRETCHED = ((), (1,), (1,), (-1,), (1,), (1,), (1,))
VIOLIN_HIGHEST = 11
FORWARD_REACH = 6  # semitones from the first finger's whole-tone place to a stretched fourth; common practice
BACK_REACH = 2  # semitones the first finger is drawn back; common practice


class Frame(Enum):
    """Whose hand: violins and violas share one."""

    VIOLIN = "violin"
    CELLO = "cello"
    BASS = "bass"


@dataclass(frozen=True, slots=True)
class Fingerboard:
    """`strings` are sounding MIDI pitches of the open strings, the first string (I) first."""

    frame: Frame
    strings: tuple[int, ...]

    @property
    def positions(self) -> tuple[int, ...]:
        """Every position of this instrument's hand, from the nut up."""
        if self.frame is Frame.VIOLIN:
            return tuple(range(1, VIOLIN_HIGHEST + 1))
        neck = tuple(range(1, OCTAVE + 1))
        return neck + tuple(THUMB_FROM + place for place in range(THUMB_LOWEST, THUMB_HIGHEST + 1))

    def distance(self, first: int, second: int) -> int:
        """How far the hand travels: positions on violin and viola, else semitones of the first finger."""
        if first == second:
            return 0
        return max(1, abs(self.place(first) - self.place(second)))

    def place(self, position: int) -> int:
        """Where the first finger stands; it lies a whole tone above the thumb."""
        return position - THUMB_FROM + 2 if position > THUMB_FROM else position


@dataclass(frozen=True, slots=True)
class Stop:
    """One note under one finger; `string` counts from 0, the highest. An open string has position 0."""

    string: int
    place: int
    finger: int
    position: int
    stretched: bool = False


def stops(board: Fingerboard, midi: int, letter: int | None = None) -> tuple[Stop, ...]:
    """Every way to stop a sounding pitch; `letter` (octave * 7 + letter, C = 0) is how it is written."""
    found: list[Stop] = []
    for string, tuned in enumerate(board.strings):
        place = midi - tuned
        if place == 0:
            found.append(Stop(string, 0, OPEN, 0))
        elif place > 0:
            found += (Stop(string, place, *rest) for rest in _fingers(board, string, place, letter))
    return tuple(found)


def _fingers(
    board: Fingerboard, string: int, place: int, letter: int | None
) -> Iterator[tuple[int, int, bool]]:
    if board.frame is Frame.VIOLIN:
        tuned = board.strings[string]
        above = None if letter is None else letter - spelled_without_key(tuned).staff_step
        yield from _by_letters(place, above)
    elif board.frame is Frame.CELLO:
        yield from _by_semitones(place, CELLO_NECK, CELLO_CLOSE, CELLO_STRETCHED)
        yield from _by_semitones(place, CELLO_UPPER, CELLO_UPPER_CLOSE, CELLO_UPPER_STRETCHED)
        yield from _by_thumb(place)
    else:
        yield from _by_semitones(place, BASS_NECK, BASS_CLOSE, NO_STRETCH)
        yield from _by_semitones(place, BASS_UPPER, BASS_UPPER_CLOSE, NO_STRETCH)
        yield from _by_thumb(place)


def _by_semitones(
    place: int, bases: range, close: Reaches, stretched: Reaches
) -> Iterator[tuple[int, int, bool]]:
    for reaches, wide in ((close, False), (stretched, True)):
        for finger, offsets in reaches.items():
            for offset in offsets:
                if place - offset in bases:
                    yield finger, place - offset, wide


def _by_thumb(place: int) -> Iterator[tuple[int, int, bool]]:
    for finger, base, wide in _by_semitones(
        place, range(THUMB_LOWEST, THUMB_HIGHEST + 1), THUMB_CLOSE, NO_STRETCH
    ):
        yield finger, THUMB_FROM + base, wide


def _by_letters(place: int, above: int | None) -> Iterator[tuple[int, int, bool]]:
    """Fingers by letters; without a written letter, or where it does not fit, every spelling counts."""
    fits = [(letters, wide) for letters, wide in _spelled(place) if above is None or letters == above]
    for letters, wide in fits or list(_spelled(place)):
        for finger in (1, 2, 3, 4):
            if 1 <= letters - finger + 1 <= VIOLIN_HIGHEST:
                yield finger, letters - finger + 1, wide
        back, forward = letters + 1, letters - 4
        if 2 <= back <= VIOLIN_HIGHEST and place >= letter_place(back) - BACK_REACH:
            yield 1, back, True
        if 1 <= forward <= VIOLIN_HIGHEST and place <= letter_place(forward) + FORWARD_REACH:
            yield 4, forward, True


def _spelled(place: int) -> Iterator[tuple[int, bool]]:
    """How many letters above the open string a place can be, and whether the finger is stretched for it."""
    middle = place * 7 // OCTAVE
    for letters in range(max(1, middle - 1), middle + 3):
        off = place - letter_place(letters)
        if off in PLACED[letters % 7]:
            yield letters, False
        elif off in PLACED_STRETCHED[letters % 7]:
            yield letters, True


def letter_place(letters: int) -> int:
    """Semitones of the major or perfect interval that many letters above the open string."""
    octaves, letter = divmod(letters, 7)
    return OCTAVE * octaves + LETTERS[letter]
