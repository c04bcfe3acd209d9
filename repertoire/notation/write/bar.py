"""Writes one bar of notes as MusicXML: beams, accidentals, ties, triplets, rests.

Places and lengths are exact fractions of a quarter; a length no single note has raises `ValueError`. Elements
after MusicXML 4.0.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from xml.etree.ElementTree import Element, SubElement

from repertoire.notation.instruments import Instrument
from repertoire.notation.pitches import WrittenPitch, key_alter
from repertoire.notation.write.beams import Lengths, beams_of
from repertoire.notation.write.transposing import transpose_element

DIVISIONS = 4  # of a quarter, at least
ACCIDENTALS = {-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}
TYPES = (
    *(("whole", Fraction(4)), ("half", Fraction(2)), ("quarter", Fraction(1)), ("eighth", Fraction(1, 2))),
    *(("16th", Fraction(1, 4)), ("32nd", Fraction(1, 8))),
)
Alters = dict[tuple[str, int], int]  # the alteration in force by letter and octave


@dataclass(frozen=True, slots=True)
class Placed:
    """A tone with its length, its place in the bar, and what of slurs and ties starts or ends on it."""

    tone: WrittenPitch
    start_q: Fraction
    length_q: Fraction
    slur: str  # "", "start" or "stop"
    tie: str = ""  # "", "start" or "stop"
    held: bool = False  # the last tone of a section

    @property
    def is_triplet(self) -> bool:
        """Whether its length is a third of a plain one."""
        return self.length_q.denominator % 3 == 0


@dataclass(frozen=True, slots=True)
class Rest:
    """Silence of this length at this place of the bar."""

    start_q: Fraction
    length_q: Fraction


def write_attributes(
    measure: Element,
    instrument: Instrument | None,
    fifths: int,
    mode: str,
    meter: tuple[int, int],
    divisions: int,
) -> None:
    """Key, metre, clef and transposition at the start; only the metre later."""
    attributes = SubElement(measure, "attributes")
    if instrument is not None:
        SubElement(attributes, "divisions").text = str(divisions)
        key = SubElement(attributes, "key")
        SubElement(key, "fifths").text = str(fifths)
        SubElement(key, "mode").text = mode
    time = SubElement(attributes, "time")
    SubElement(time, "beats").text = str(meter[0])
    SubElement(time, "beat-type").text = str(meter[1])
    if instrument is None:
        return
    clef = SubElement(attributes, "clef")
    SubElement(clef, "sign").text = instrument.clef[0]
    SubElement(clef, "line").text = instrument.clef[1]
    if instrument.transposition:
        attributes.append(transpose_element(instrument.transposition))


def write_tempo(measure: Element, bpm: float, beat_unit_q: float) -> None:
    """A metronome mark above the bar, beats of `beat_unit_q` quarters a minute."""
    direction = SubElement(measure, "direction", {"placement": "above"})
    metronome = SubElement(SubElement(direction, "direction-type"), "metronome")
    name, dots = _type(Fraction(beat_unit_q))
    SubElement(metronome, "beat-unit").text = name
    for _ in range(dots):
        SubElement(metronome, "beat-unit-dot")
    SubElement(metronome, "per-minute").text = f"{bpm:g}"
    SubElement(direction, "sound", {"tempo": f"{bpm * beat_unit_q:g}"})  # always in quarters


def write_bar(
    measure: Element,
    bar: Sequence[Placed | Rest],
    fifths: int,
    before: Alters,
    divisions: int,
    *,
    beat_q: Fraction = Fraction(1),
) -> Alters:
    """Write one bar; returns the alterations in force at its end.

    An accidental of the bar before no longer holds; where the tone returns without it, one is printed as a
    reminder. A tied note needs none. `beat_q` is the metre's beat, by which notes are joined.
    """
    in_force: Alters = {}
    joined = beams_of([_beamed(placed) for placed in bar], beat_q=beat_q)
    for placed, beams, tuplet in zip(bar, joined, _tuplets(bar), strict=True):
        if isinstance(placed, Rest):
            _rest(measure, placed, divisions)
            continue
        tone = placed.tone
        place = (tone.letter, tone.octave)
        shown = in_force.get(place, key_alter(tone.letter, fifths)) != tone.alter
        reminder = place not in in_force and before.get(place, tone.alter) != tone.alter
        if placed.tie != "stop":
            in_force[place] = tone.alter
        accidental = ACCIDENTALS[tone.alter] if (shown or reminder) and placed.tie != "stop" else ""
        note = _note(measure, placed, divisions, accidental=accidental, reminder=not shown)
        for number, beam in enumerate(beams, 1):
            SubElement(note, "beam", {"number": str(number)}).text = beam
        _notations(note, placed, tuplet)
    return in_force


def _rest(measure: Element, rest: Rest, divisions: int) -> None:
    note = SubElement(measure, "note")
    SubElement(note, "rest")
    SubElement(note, "duration").text = str(int(rest.length_q * divisions))
    SubElement(note, "voice").text = "1"
    name, dots = _type(rest.length_q)
    SubElement(note, "type").text = name
    for _ in range(dots):
        SubElement(note, "dot")


def _note(measure: Element, placed: Placed, divisions: int, *, accidental: str, reminder: bool) -> Element:
    note = SubElement(measure, "note")
    pitch = SubElement(note, "pitch")
    SubElement(pitch, "step").text = placed.tone.letter
    if placed.tone.alter:
        SubElement(pitch, "alter").text = str(placed.tone.alter)
    SubElement(pitch, "octave").text = str(placed.tone.octave)
    SubElement(note, "duration").text = str(int(placed.length_q * divisions))
    if placed.tie:
        SubElement(note, "tie", {"type": placed.tie})
    SubElement(note, "voice").text = "1"
    name, dots = _type(_printed_q(placed))
    SubElement(note, "type").text = name
    for _ in range(dots):
        SubElement(note, "dot")
    if accidental:
        SubElement(note, "accidental", {"cautionary": "yes"} if reminder else {}).text = accidental
    if placed.is_triplet:
        changed = SubElement(note, "time-modification")
        SubElement(changed, "actual-notes").text = "3"
        SubElement(changed, "normal-notes").text = "2"
    return note


def _notations(note: Element, placed: Placed, tuplet: str) -> None:
    if not (placed.slur or placed.tie or tuplet):
        return
    notations = SubElement(note, "notations")
    if placed.tie:
        SubElement(notations, "tied", {"type": placed.tie})
    if placed.slur:
        SubElement(notations, "slur", {"type": placed.slur, "number": "1"})
    if tuplet:
        SubElement(notations, "tuplet", {"type": tuplet, "number": "1"})


def _tuplets(bar: Sequence[Placed | Rest]) -> Iterator[str]:
    """Where each triplet starts and stops: on the quarter beats."""
    for placed in bar:
        end = placed.start_q + placed.length_q
        if isinstance(placed, Rest) or not placed.is_triplet:
            yield ""
        elif placed.start_q.denominator == 1:
            yield "start"
        else:
            yield "stop" if end.denominator == 1 else ""


def _printed_q(placed: Placed) -> Fraction:
    """The note value on paper: a triplet's notes look half as long again as they are."""
    return placed.length_q * Fraction(3, 2) if placed.is_triplet else placed.length_q


def is_single(length_q: Fraction) -> bool:
    """Whether one plain, dotted or double dotted note is this long."""
    in_triplet = length_q.denominator % 3 == 0
    if in_triplet and length_q > 1:
        return False  # it would leave the triplet's beat
    try:
        _type(length_q * Fraction(3, 2) if in_triplet else length_q)
    except ValueError:
        return False
    return True


def _type(length_q: Fraction) -> tuple[str, int]:
    """Note type and dots."""
    for name, plain in TYPES:
        for dots, factor in ((0, Fraction(1)), (1, Fraction(3, 2)), (2, Fraction(7, 4))):
            if plain * factor == length_q:
                return name, dots
    raise ValueError(f"no single note is {length_q} quarters long")


def _beamed(placed: Placed | Rest) -> Lengths:
    if isinstance(placed, Rest):
        return Lengths(placed.start_q, placed.length_q, 0)
    name, dots = _type(_printed_q(placed))
    levels = {"eighth": 1, "16th": 2, "32nd": 3}.get(name, 0)
    return Lengths(placed.start_q, placed.length_q, 0 if placed.held and dots else levels)
