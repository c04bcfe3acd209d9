"""Writes a run of notes in one rhythm as MusicXML: bars, beams, slurs, accidentals, the last note held.

Each section stands in its own metre: the first in four beats, later ones in three, divided by double bars.
Places and lengths are exact fractions of a quarter; a length that neither one note nor two tied ones can show
raises `ValueError`. Elements after MusicXML 4.0.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import lcm
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
# Slur patterns that are not one number of notes: the notes of an octave; two slurred, two separate.
SLURS_IN_WORDS = ("octave", "two_two")
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


def write_sheet(
    *,
    title: str,
    instrument: Instrument,
    fifths: int,
    mode: str,
    sections: list[list[WrittenPitch]],
    value_q: Fraction,
    slur: int | str,
    rhythm: tuple[Fraction, ...] = (Fraction(1),),
    first_long: bool = False,
    notes_an_octave: int = 7,
    bpm: float | None = None,
    beat_unit_q: float = 1.0,
) -> Element:
    """A score-partwise tree of the sections.

    Notes are `value_q` quarters long, times the rhythm over and over; each section's last is held to the end
    of its bar, and with `first_long` its first lasts twice as long.
    With `bpm`, beats of `beat_unit_q` quarters a minute, the tempo stands above the first bar.
    """
    root = Element("score-partwise", {"version": "4.0"})
    SubElement(root, "movement-title").text = title
    listed = SubElement(SubElement(root, "part-list"), "score-part", {"id": "P1"})
    SubElement(listed, "part-name").text = instrument.name
    part = SubElement(root, "part", {"id": "P1"})
    divisions = lcm(DIVISIONS, *((value_q * factor).denominator for factor in rhythm))
    for k, tones in enumerate(sections):
        beats, beat_type = (4, 4) if k == 0 else (3, 2 if value_q == 2 else 4)
        bar_q = Fraction(4 * beats, beat_type)
        lengths = _lengths(len(tones), value_q, rhythm, first_long)
        marked = _with_slurs(tones, notes_an_octave if slur == "octave" else slur)
        bars = list(_in_bars(marked, lengths, bar_q))
        before: Alters = {}
        for b, placed in enumerate(bars):
            measure = SubElement(part, "measure", {"number": str(len(part) + 1)})
            if b == 0:
                _attributes(
                    measure, instrument if k == 0 else None, fifths, mode, (beats, beat_type), divisions
                )
            if b == k == 0 and bpm is not None:
                _tempo(measure, bpm, beat_unit_q)
            before = _bar(measure, placed, fifths, before, divisions)
            if b == len(bars) - 1:
                style = "light-heavy" if k == len(sections) - 1 else "light-light"
                SubElement(SubElement(measure, "barline", {"location": "right"}), "bar-style").text = style
    return root


def _lengths(count: int, value_q: Fraction, rhythm: tuple[Fraction, ...], first_long: bool) -> list[Fraction]:
    lengths = [value_q * rhythm[index % len(rhythm)] for index in range(count)]
    return [2 * value_q, *lengths[1:]] if first_long else lengths


def _with_slurs(tones: list[WrittenPitch], slur: int | str) -> list[tuple[WrittenPitch, str]]:
    """Mark the first and last tone under every slur; a tone left alone gets none."""
    size, cycle = (2, 4) if slur == "two_two" else (int(slur), int(slur))
    marked = []
    for index, tone in enumerate(tones):
        place = index % cycle if size > 1 else -1
        inside = 0 <= place < size
        if place == 0 and index < len(tones) - 1:
            marked.append((tone, "start"))
        elif place == size - 1 or (inside and place > 0 and index == len(tones) - 1):
            marked.append((tone, "stop" if inside and place > 0 else ""))
        else:
            marked.append((tone, ""))
    return marked


def _in_bars(
    tones: list[tuple[WrittenPitch, str]], lengths: list[Fraction], bar_q: Fraction
) -> Iterator[list[Placed]]:
    bar: list[Placed] = []
    at = Fraction(0)
    for index, ((tone, slur), length) in enumerate(zip(tones, lengths, strict=True)):
        last = index == len(tones) - 1
        for piece in _pieces(tone, slur, at, bar_q - at if last else length, bar_q, held=last):
            bar.append(piece)
            at = piece.start_q + piece.length_q
            if at >= bar_q:
                yield bar
                bar, at = [], Fraction(0)


def _pieces(
    tone: WrittenPitch, slur: str, at: Fraction, length: Fraction, bar_q: Fraction, *, held: bool
) -> Iterator[Placed]:
    """One note, or two tied ones where it crosses a bar line or has a length no single note has."""
    first = min(length, bar_q - at)
    if not is_single(first):
        first = -at % 1
    rest = length - first
    if not rest:
        yield Placed(tone, at, length, slur, held=held)
        return
    start_slur, stop_slur = (slur if slur == "start" else ""), (slur if slur == "stop" else "")
    yield Placed(tone, at, first, start_slur, tie="start")
    yield Placed(tone, (at + first) % bar_q, rest, stop_slur, tie="stop", held=held)


def _attributes(
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


def _tempo(measure: Element, bpm: float, beat_unit_q: float) -> None:
    direction = SubElement(measure, "direction", {"placement": "above"})
    metronome = SubElement(SubElement(direction, "direction-type"), "metronome")
    name, dots = _type(Fraction(beat_unit_q))
    SubElement(metronome, "beat-unit").text = name
    for _ in range(dots):
        SubElement(metronome, "beat-unit-dot")
    SubElement(metronome, "per-minute").text = f"{bpm:g}"
    SubElement(direction, "sound", {"tempo": f"{bpm * beat_unit_q:g}"})  # always in quarters


def _bar(measure: Element, bar: list[Placed], fifths: int, before: Alters, divisions: int) -> Alters:
    """Write one bar; returns the alterations in force at its end.

    An accidental of the bar before no longer holds; where the tone returns without it, one is printed as a
    reminder. A tied note needs none.
    """
    in_force: Alters = {}
    for placed, beams, tuplet in zip(bar, beams_of([_beamed(p) for p in bar]), _tuplets(bar), strict=True):
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


def _tuplets(bar: list[Placed]) -> Iterator[str]:
    """Where each triplet starts and stops: on the quarter beats."""
    for placed in bar:
        end = placed.start_q + placed.length_q
        if not placed.is_triplet:
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


def _beamed(placed: Placed) -> Lengths:
    name, dots = _type(_printed_q(placed))
    levels = {"eighth": 1, "16th": 2, "32nd": 3}.get(name, 0)
    return Lengths(placed.start_q, placed.length_q, 0 if placed.held and dots else levels)
