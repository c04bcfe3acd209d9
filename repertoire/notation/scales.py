"""Scale sheets: a scale up and down with its arpeggio, written for an instrument's clef and range.

Tonic and key are as written for the player (a horn's C major sounds in F). The tune is theory, not data:
letters follow one another, alterations follow the kind's intervals. The scale is in four, its last tonic
held to the end of the bar; the arpeggio follows a double bar, in three.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from xml.etree.ElementTree import Element

from . import messages
from .canonical import to_text
from .instruments import Instrument
from .reading import CanonicalScore, read_score
from .score import BadScore
from .sheet_writing import Tone, write_sheet

LETTERS = "CDEFGAB"
LETTER_SEMITONES = (0, 2, 4, 5, 7, 9, 11)
MAJOR_FIFTHS = {"C": 0, "D": 2, "E": 4, "F": -1, "G": 1, "A": 3, "B": 5}
STEPS = {  # semitones above the tonic, going up and coming down
    "major": ((0, 2, 4, 5, 7, 9, 11), (0, 2, 4, 5, 7, 9, 11)),
    "natural_minor": ((0, 2, 3, 5, 7, 8, 10), (0, 2, 3, 5, 7, 8, 10)),
    "harmonic_minor": ((0, 2, 3, 5, 7, 8, 11), (0, 2, 3, 5, 7, 8, 11)),
    "melodic_minor": ((0, 2, 3, 5, 7, 9, 11), (0, 2, 3, 5, 7, 8, 10)),
}
CHORD_DEGREES = (0, 2, 4)
NOTE_VALUES_Q = {
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
    "sixteenth": Fraction(1, 4),
}
TONIC = re.compile(r"^\s*([A-Ga-g])[\s-]*(#|♯|sharp|b|♭|flat)?\s*$")
ALTERS = {"#": 1, "♯": 1, "sharp": 1, "b": -1, "♭": -1, "flat": -1}


@dataclass(frozen=True, slots=True)
class ScaleSpec:
    """What a scale sheet is to hold; `slur` counts the notes under one slur, 0 or 1 for separate notes."""

    tonic: str  # "C", "F#", "B flat"
    kind: str  # a key of STEPS
    octaves: int
    arpeggio: bool
    note_value: str  # a key of NOTE_VALUES_Q
    slur: int
    instrument: Instrument
    bpm: float | None = None  # beats a minute, printed above the first bar
    beat_unit_q: float = 1.0  # quarters


def scale_sheet(spec: ScaleSpec) -> CanonicalScore:
    """Write the sheet; raises `BadScore` with a sentence when it cannot be written."""
    letter, alter = _tonic(spec.tonic)
    _check_choices(spec)
    key = messages.MODE_WORDS[spec.kind].format(tonic=letter + messages.ALTER_WORDS[alter])
    fifths = MAJOR_FIFTHS[letter] + 7 * alter - (0 if spec.kind == "major" else 3)
    if abs(fifths) > 7:
        raise BadScore(messages.SCALE_KEY.format(key=key))
    octave = _first_octave(spec, letter, alter, key)
    scale = _up_and_down(letter, alter, octave, spec.octaves, spec.kind, range(7))
    sections = [scale]
    if spec.arpeggio:
        sections.append(_up_and_down(letter, alter, octave, spec.octaves, spec.kind, CHORD_DEGREES))
    template = messages.SCALE_TITLE_ARPEGGIO if spec.arpeggio else messages.SCALE_TITLE
    tree: Element = write_sheet(
        title=template.format(key=key, octaves=messages.OCTAVE_WORDS[spec.octaves]),
        instrument=spec.instrument,
        fifths=fifths,
        mode="major" if spec.kind == "major" else "minor",
        sections=sections,
        value_q=NOTE_VALUES_Q[spec.note_value],
        slur=spec.slur,
        bpm=spec.bpm,
        beat_unit_q=spec.beat_unit_q,
    )
    return read_score(to_text(tree).encode())


def _tonic(text: str) -> tuple[str, int]:
    found = TONIC.match(text)
    if not found:
        raise BadScore(messages.SCALE_TONIC.format(tonic=text))
    return found[1].upper(), ALTERS.get((found[2] or "").lower(), 0)


def _check_choices(spec: ScaleSpec) -> None:
    for choice, known in ((spec.kind, STEPS), (spec.note_value, NOTE_VALUES_Q)):
        if choice not in known:
            raise BadScore(messages.SCALE_CHOICE.format(choice=choice, choices=", ".join(known)))
    if spec.octaves not in messages.OCTAVE_WORDS:
        raise BadScore(messages.SCALE_OCTAVES)


def _first_octave(spec: ScaleSpec, letter: str, alter: int, key: str) -> int:
    """The lowest written octave in which the whole scale fits the instrument."""
    instrument = spec.instrument
    for octave in range(instrument.octave_written_low, 9):
        low = Tone(letter, alter, octave).midi
        if low >= instrument.written_low and low + 12 * spec.octaves <= instrument.written_high:
            return octave
    name = instrument.name[:1].lower() + instrument.name[1:]
    raise BadScore(messages.SCALE_RANGE.format(key=key, octaves=spec.octaves, instrument=name))


def _up_and_down(
    letter: str, alter: int, octave: int, octaves: int, kind: str, degrees: tuple[int, ...] | range
) -> list[Tone]:
    """The degrees through all octaves to the top tonic and back, spelled letter by letter."""
    tonic = Tone(letter, alter, octave)
    up, down = STEPS[kind]
    rising = [_tone(tonic, up, k, d) for k in range(octaves) for d in degrees]
    falling = [_tone(tonic, down, k, d) for k in reversed(range(octaves)) for d in reversed(degrees)]
    return [*rising, _tone(tonic, up, octaves, 0), *falling]


def _tone(tonic: Tone, steps: tuple[int, ...], octave: int, degree: int) -> Tone:
    """The tone on a degree: its letter is fixed, its alteration makes up the rest of the interval."""
    place = LETTERS.index(tonic.letter) + degree
    letter, carried = LETTERS[place % 7], place // 7
    written_octave = tonic.octave + octave + carried
    natural = Tone(letter, 0, written_octave).midi
    return Tone(letter, tonic.midi + 12 * octave + steps[degree] - natural, written_octave)
