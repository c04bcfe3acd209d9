"""Scale sheets: a scale or arpeggio up and down, written for an instrument's clef and range.

Tonic and key are as written for the player (a horn's C major sounds in F). The tune is theory, not data: see
`scale_kinds`. The scale is in four, its last tonic held to the end of the bar; an arpeggio that goes with it
follows a double bar, in three. What cannot be written raises `BadScore` with a sentence.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from xml.etree.ElementTree import Element

from repertoire.notation import messages
from repertoire.notation.instruments import Instrument
from repertoire.notation.pitches import WrittenPitch
from repertoire.notation.read.reading import CanonicalScore, read_score
from repertoire.notation.score import BadScore
from repertoire.notation.sentence import PitchName, Sentence
from repertoire.notation.write.scale_kinds import (
    ALL_DEGREES,
    ARPEGGIO_OF,
    KINDS,
    PATTERNS,
    STEPS,
    key_fifths,
    tones_of,
)
from repertoire.notation.write.sheet import SLURS_IN_WORDS, write_sheet
from repertoire.notation.xml import to_text

__all__ = ["NOTE_VALUES_Q", "RHYTHMS", "STEPS", "ScaleSpec", "scale_sheet"]

NOTE_VALUES_Q = {
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
    "triplet_eighth": Fraction(1, 3),
    "sixteenth": Fraction(1, 4),
}
# Lengths in note values, over and over; `first_long` lengthens only the first note of all.
RHYTHMS = {
    "even": (Fraction(1),),
    "dotted": (Fraction(3, 2), Fraction(1, 2)),
    "long_short_short": (Fraction(2), Fraction(1), Fraction(1)),
    "first_long": (Fraction(1),),
}
MOST_OCTAVES = 4
AS_MANY_AS_FIT = 0
MOST_ALTERS = 2
TONIC = re.compile(r"^\s*([A-Ga-g])[\s-]*(#|♯|sharp|b|♭|flat)?\s*$")
ALTERS = {"#": 1, "♯": 1, "sharp": 1, "b": -1, "♭": -1, "flat": -1}


@dataclass(frozen=True, slots=True)
class ScaleSpec:
    """What a scale sheet is to hold.

    `slur` counts the notes under one slur, 0 or 1 for separate notes, or is a key of SLURS_IN_WORDS;
    `octaves` 0 takes as many as fit; `raised` begins that many octaves above the lowest that fits.
    """

    tonic: str  # "C", "F#", "B flat"
    kind: str  # a key of KINDS
    octaves: int
    arpeggio: bool  # after it, for major and minor scales
    note_value: str  # a key of NOTE_VALUES_Q
    slur: int | str
    instrument: Instrument
    bpm: float | None = None  # beats a minute, printed above the first bar
    beat_unit_q: float = 1.0  # quarters
    pattern: str = "straight"  # one of PATTERNS
    rhythm: str = "even"  # a key of RHYTHMS
    raised: int = 0


def scale_sheet(spec: ScaleSpec, *, title: Callable[[Sentence], str] = str) -> CanonicalScore:
    """Write the sheet, with the words that `title` makes of its name printed above it.

    Raises `BadScore` with a sentence when it cannot be written.
    """
    letter, alter = _tonic(spec.tonic)
    _check_choices(spec)
    key = messages.MODES[spec.kind](tonic=PitchName(letter, alter))
    kind = KINDS[spec.kind]
    fifths = key_fifths(kind, letter, alter)
    if abs(fifths) > 7:
        raise BadScore(messages.SCALE_KEY(key=key))
    spec = replace(spec, octaves=spec.octaves or _most_octaves(spec, letter, alter))
    tonic = WrittenPitch(letter, alter, _first_octave(spec, letter, alter, key))
    sections = [tones_of(kind, tonic, spec.octaves, spec.pattern)]
    if any(abs(tone.alter) > MOST_ALTERS for tone in sections[0]):
        raise BadScore(messages.SCALE_KEY(key=key))
    with_arpeggio = spec.arpeggio and spec.kind in ARPEGGIO_OF
    if with_arpeggio:
        sections.append(tones_of(KINDS[ARPEGGIO_OF[spec.kind]], tonic, spec.octaves, "straight"))
    tree: Element = write_sheet(
        title=title(_title(spec, key, with_arpeggio)),
        instrument=spec.instrument,
        fifths=fifths,
        mode=kind.mode,
        sections=sections,
        value_q=NOTE_VALUES_Q[spec.note_value],
        rhythm=RHYTHMS[spec.rhythm],
        first_long=spec.rhythm == "first_long",
        slur=spec.slur,
        notes_an_octave=len(kind.up),
        bpm=spec.bpm,
        beat_unit_q=spec.beat_unit_q,
    )
    return read_score(to_text(tree).encode())


def _title(spec: ScaleSpec, key: Sentence, with_arpeggio: bool) -> Sentence:
    code = messages.SCALE_TITLE_ARPEGGIO if with_arpeggio else messages.SCALE_TITLE
    return code(key=messages.PATTERNS[spec.pattern](key=key), octaves=messages.OCTAVES[spec.octaves]())


def _tonic(text: str) -> tuple[str, int]:
    found = TONIC.match(text)
    if not found:
        raise BadScore(messages.SCALE_TONIC(tonic=text))
    return found[1].upper(), ALTERS.get((found[2] or "").lower(), 0)


def _check_choices(spec: ScaleSpec) -> None:
    choices: tuple[tuple[str, tuple[str, ...]], ...] = (
        (spec.kind, tuple(KINDS)),
        (spec.note_value, tuple(NOTE_VALUES_Q)),
        (spec.pattern, PATTERNS),
        (spec.rhythm, tuple(RHYTHMS)),
    )
    for choice, known in choices:
        if choice not in known:
            raise BadScore(messages.SCALE_CHOICE(choice=choice, choices=", ".join(known)))
    if isinstance(spec.slur, str) and spec.slur not in SLURS_IN_WORDS:
        raise BadScore(messages.SCALE_CHOICE(choice=spec.slur, choices=", ".join(SLURS_IN_WORDS)))
    if spec.octaves != AS_MANY_AS_FIT and spec.octaves not in messages.OCTAVES:
        raise BadScore(messages.SCALE_OCTAVES())
    if spec.pattern == "thirds" and KINDS[spec.kind].letters != ALL_DEGREES:
        raise BadScore(messages.SCALE_THIRDS())
    if spec.note_value == "triplet_eighth" and spec.rhythm != "even":
        raise BadScore(messages.SCALE_TRIPLETS())


def _lowest_octave(spec: ScaleSpec, letter: str, alter: int, octaves: int) -> int | None:
    """The lowest written octave in which the whole scale fits the instrument."""
    instrument = spec.instrument
    for octave in range(instrument.octave_written_low, 9):
        low = WrittenPitch(letter, alter, octave).midi
        if low >= instrument.written_low and low + 12 * octaves <= instrument.written_high:
            return octave
    return None


def _most_octaves(spec: ScaleSpec, letter: str, alter: int) -> int:
    for octaves in range(MOST_OCTAVES, 1, -1):
        if _lowest_octave(spec, letter, alter, octaves + spec.raised) is not None:
            return octaves
    return 1


def _first_octave(spec: ScaleSpec, letter: str, alter: int, key: Sentence) -> int:
    # Room for the octaves it is raised by keeps the lowest octave that fits the one to count from.
    lowest = _lowest_octave(spec, letter, alter, spec.octaves)
    if lowest is not None:
        top = WrittenPitch(letter, alter, lowest + spec.raised + spec.octaves).midi
        if top <= spec.instrument.written_high:
            return lowest + spec.raised
    advice = messages.SCALE_RAISED if lowest is not None else messages.SCALE_RANGE
    raise BadScore(
        advice(
            key=key,
            octaves=messages.OCTAVES[spec.octaves](),
            instrument=messages.INSTRUMENT(key=spec.instrument.key),
        )
    )
