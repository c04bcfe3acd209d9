"""Written pitches: their letters, their spelling in a key, and their names.

Octave 4 begins at middle C (C4 = MIDI 60, A4 = 69), as scientific pitch notation counts. A pitch is spelled
by its place on the line of fifths (... B flat, F, C, G, D ...): twelve neighbours on it name the twelve
keys of a keyboard once each, so that one key never gets two names in one passage. Alterations are
semitones, sharps above 0.
"""

import re
from dataclasses import dataclass
from functools import lru_cache

LETTERS = "CDEFGAB"
SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}  # above C
LINE_OF_FIFTHS = "FCGDAEB"
PITCH = re.compile(r"([A-G])(#|b)?(-?\d)")
NAME = re.compile(r"([A-G])(#|b|)")
# From the flat of a minor key's third to the sharp of its leading note: E flat to G sharp in C major and A
# minor. Common practice, no published source.
FLATTEST_IN_KEY = -3
# Where there is no key, tunings and ranges are usually named with E flat, A flat and B flat, C and F sharp.
FLATTEST_WITHOUT_KEY = -4
MOST_FIFTHS = 7


@dataclass(frozen=True, slots=True)
class WrittenPitch:
    """A pitch as it is printed; `alter` counts semitones, sharps above 0."""

    letter: str
    alter: int
    octave: int

    @property
    def midi(self) -> int:
        """The MIDI number of what is written, before any transposition."""
        return 12 * (self.octave + 1) + SEMITONES[self.letter] + self.alter

    @property
    def staff_step(self) -> int:
        """Steps on the staff above C0, whatever the accidental."""
        return self.octave * 7 + LETTERS.index(self.letter)

    @property
    def name(self) -> str:
        """ "B♭4", in signs that every text font has, so two flats for a double flat."""
        return f"{self.letter}{signs(self.alter)}{self.octave}"

    @property
    def typed_name(self) -> str:
        """ "Bb4", in letters that every keyboard has; `midi_of` reads it."""
        return f"{self.letter}{'#' * self.alter}{'b' * -self.alter}{self.octave}"


def signs(alter: int) -> str:
    """Sharps for an alteration above 0, flats below: "♯♯", "♭"."""
    return "♯" * alter + "♭" * -alter


def midi_of(name: str) -> int:
    """The MIDI number of "C4", "F#3" or "Bb1"; raises `ValueError` for anything else."""
    found = PITCH.fullmatch(name)
    if not found:
        raise ValueError(f"{name} is not a pitch such as C4, F#3 or Bb1")
    letter, sign, octave = found.groups()
    return WrittenPitch(letter, {"#": 1, "b": -1, None: 0}[sign], int(octave)).midi


def fifths_of(letter: str, alter: int) -> int:
    """Place on the line of fifths, C at 0: also the sharps (flats below 0) of the major key on it."""
    return LINE_OF_FIFTHS.index(letter) - 1 + 7 * alter


def spelled_at(fifths: int) -> tuple[str, int]:
    """Letter and alteration at a place on the line of fifths."""
    return LINE_OF_FIFTHS[(fifths + 1) % 7], (fifths + 1) // 7


def name_at(fifths: int) -> str:
    """ "B♭": also the tonic of the major key with so many sharps (flats below 0)."""
    letter, alter = spelled_at(fifths)
    return letter + signs(alter)


@lru_cache(maxsize=4096)
def on_line_of_fifths(midi: int, flattest: int) -> WrittenPitch:
    """The pitch by that of the twelve names from `flattest` upwards that sounds so."""
    letter, alter = spelled_at(next(k for k in range(flattest, flattest + 12) if (7 * k - midi) % 12 == 0))
    return WrittenPitch(letter, alter, (midi - alter - SEMITONES[letter]) // 12 - 1)


def spelled_in_key(midi: int, fifths: int) -> WrittenPitch:
    """A written MIDI number as it is usually spelled in the key of so many sharps (flats below 0)."""
    return on_line_of_fifths(midi, max(-MOST_FIFTHS, min(MOST_FIFTHS, fifths)) + FLATTEST_IN_KEY)


def spelled_without_key(midi: int) -> WrittenPitch:
    """A written MIDI number as it is usually spelled where no key is known: C sharp, but B flat."""
    return on_line_of_fifths(midi, FLATTEST_WITHOUT_KEY)


def key_alter(letter: str, fifths: int) -> int:
    """What a key signature does to a letter: 1, 0 or -1."""
    place = LINE_OF_FIFTHS.index(letter)
    return (place < fifths) - (6 - place < -fifths)
