"""Writes a run of equal notes as MusicXML: bars, beams, slurs, accidentals, the last note held.

Each section stands in its own metre: the first in four beats, later ones in three, divided by double bars.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from xml.etree.ElementTree import Element, SubElement

from .instruments import Instrument

DIVISIONS = 4  # of a quarter
NATURAL_MIDI = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
SHARP_ORDER = "FCGDAEB"
ACCIDENTALS = {-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}
TYPES = (("whole", 4), ("half", 2), ("quarter", 1), ("eighth", Fraction(1, 2)), ("16th", Fraction(1, 4)))
Alters = dict[tuple[str, int], int]  # the alteration in force by letter and octave
DIATONIC = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)  # written steps of a chromatic transposition


@dataclass(frozen=True, slots=True)
class Tone:
    """A written pitch; octave 4 begins at middle C."""

    letter: str
    alter: int
    octave: int

    @property
    def midi(self) -> int:
        return 12 * (self.octave + 1) + NATURAL_MIDI[self.letter] + self.alter


@dataclass(frozen=True, slots=True)
class Placed:
    """A tone with its length, its place in the bar, and whether a slur starts or ends on it."""

    tone: Tone
    start_q: Fraction
    length_q: Fraction
    slur: str  # "", "start" or "stop"


def write_sheet(
    *,
    title: str,
    instrument: Instrument,
    fifths: int,
    mode: str,
    sections: list[list[Tone]],
    value_q: Fraction,
    slur: int,
    bpm: float | None = None,
    beat_unit_q: float = 1.0,
) -> Element:
    """A score-partwise tree of the sections, every note `value_q` quarters long but each section's last.

    With `bpm`, beats of `beat_unit_q` quarters a minute, the tempo stands above the first bar.
    """
    root = Element("score-partwise", {"version": "4.0"})
    SubElement(root, "movement-title").text = title
    listed = SubElement(SubElement(root, "part-list"), "score-part", {"id": "P1"})
    SubElement(listed, "part-name").text = instrument.name
    part = SubElement(root, "part", {"id": "P1"})
    for k, tones in enumerate(sections):
        beats, beat_type = (4, 4) if k == 0 else (3, 2 if value_q == 2 else 4)
        bar_q = Fraction(4 * beats, beat_type)
        bars = list(_in_bars(_with_slurs(tones, slur), value_q, bar_q))
        before: Alters = {}
        for b, placed in enumerate(bars):
            measure = SubElement(part, "measure", {"number": str(len(part) + 1)})
            if b == 0:
                _attributes(measure, instrument if k == 0 else None, fifths, mode, (beats, beat_type))
            if b == k == 0 and bpm is not None:
                _tempo(measure, bpm, beat_unit_q)
            before = _bar(measure, placed, fifths, before)
            if b == len(bars) - 1:
                style = "light-heavy" if k == len(sections) - 1 else "light-light"
                SubElement(SubElement(measure, "barline", {"location": "right"}), "bar-style").text = style
    return root


def _with_slurs(tones: list[Tone], slur: int) -> list[tuple[Tone, str]]:
    """Mark the first and last tone of every group of `slur`; a tone left alone gets none."""
    marked = []
    for index, tone in enumerate(tones):
        place = index % slur if slur > 1 else -1
        if place == 0 and index < len(tones) - 1:
            marked.append((tone, "start"))
        elif place == slur - 1 or (place > 0 and index == len(tones) - 1):
            marked.append((tone, "stop"))
        else:
            marked.append((tone, ""))
    return marked


def _in_bars(tones: list[tuple[Tone, str]], value_q: Fraction, bar_q: Fraction) -> Iterator[list[Placed]]:
    bar: list[Placed] = []
    at = Fraction(0)
    for index, (tone, slur) in enumerate(tones):
        length = bar_q - at if index == len(tones) - 1 else value_q
        bar.append(Placed(tone, at, length, slur))
        at += length
        if at >= bar_q:
            yield bar
            bar, at = [], Fraction(0)


def _attributes(
    measure: Element, instrument: Instrument | None, fifths: int, mode: str, meter: tuple[int, int]
) -> None:
    """Key, metre, clef and transposition at the start; only the metre later."""
    attributes = SubElement(measure, "attributes")
    if instrument is not None:
        SubElement(attributes, "divisions").text = str(DIVISIONS)
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
        _transpose(attributes, instrument.transposition)


def _tempo(measure: Element, bpm: float, beat_unit_q: float) -> None:
    direction = SubElement(measure, "direction", {"placement": "above"})
    metronome = SubElement(SubElement(direction, "direction-type"), "metronome")
    name, dots = _type(Fraction(beat_unit_q))
    SubElement(metronome, "beat-unit").text = name
    for _ in range(dots):
        SubElement(metronome, "beat-unit-dot")
    SubElement(metronome, "per-minute").text = f"{bpm:g}"
    SubElement(direction, "sound", {"tempo": f"{bpm * beat_unit_q:g}"})  # always in quarters


def _transpose(attributes: Element, semitones: int) -> None:
    octaves = int(semitones / 12)  # towards zero: a bass is an octave, an alto saxophone none
    chromatic = semitones - 12 * octaves
    steps = DIATONIC[abs(chromatic)]
    transpose = SubElement(attributes, "transpose")
    SubElement(transpose, "diatonic").text = str(steps if chromatic > 0 else -steps)
    SubElement(transpose, "chromatic").text = str(chromatic)
    if octaves:
        SubElement(transpose, "octave-change").text = str(octaves)


def key_alter(letter: str, fifths: int) -> int:
    """What the key signature does to a letter: 1, 0 or -1."""
    if fifths > 0:
        return 1 if letter in SHARP_ORDER[:fifths] else 0
    return -1 if letter in SHARP_ORDER[::-1][:-fifths] else 0


def _bar(measure: Element, bar: list[Placed], fifths: int, before: Alters) -> Alters:
    """Write one bar; returns the alterations in force at its end.

    An accidental of the bar before no longer holds; where the tone returns without it, one is printed as a
    reminder.
    """
    in_force: Alters = {}
    for placed, beam in zip(bar, _beams(bar), strict=True):
        tone = placed.tone
        place = (tone.letter, tone.octave)
        shown = in_force.get(place, key_alter(tone.letter, fifths)) != tone.alter
        reminder = place not in in_force and before.get(place, tone.alter) != tone.alter
        in_force[place] = tone.alter
        accidental = ACCIDENTALS[tone.alter] if shown or reminder else ""
        _note(measure, placed, beam, accidental=accidental, reminder=not shown)
    return in_force


def _note(measure: Element, placed: Placed, beam: str, *, accidental: str, reminder: bool) -> None:
    note = SubElement(measure, "note")
    pitch = SubElement(note, "pitch")
    SubElement(pitch, "step").text = placed.tone.letter
    if placed.tone.alter:
        SubElement(pitch, "alter").text = str(placed.tone.alter)
    SubElement(pitch, "octave").text = str(placed.tone.octave)
    SubElement(note, "duration").text = str(int(placed.length_q * DIVISIONS))
    SubElement(note, "voice").text = "1"
    name, dots = _type(placed.length_q)
    SubElement(note, "type").text = name
    for _ in range(dots):
        SubElement(note, "dot")
    if accidental:
        SubElement(note, "accidental", {"cautionary": "yes"} if reminder else {}).text = accidental
    if beam:
        for number in ("1", "2") if name == "16th" else ("1",):
            SubElement(note, "beam", {"number": number}).text = beam
    if placed.slur:
        slur = SubElement(SubElement(note, "notations"), "slur")
        slur.set("type", placed.slur)
        slur.set("number", "1")


def _type(length_q: Fraction) -> tuple[str, int]:
    """Note type and dots; every held note of a sheet is a plain, dotted or double dotted note."""
    for name, plain in TYPES:
        for dots, factor in ((0, Fraction(1)), (1, Fraction(3, 2)), (2, Fraction(7, 4))):
            if plain * factor == length_q:
                return name, dots
    raise ValueError(f"no single note is {length_q} quarters long")


def _beams(bar: list[Placed]) -> list[str]:
    """How each note is beamed: eighths by half bars of four or whole bars of three, sixteenths by beats."""
    whole_q = bar[-1].start_q + bar[-1].length_q
    groups = [_beam_group(placed, eighths_q=3 if whole_q == 3 else 2) for placed in bar]
    beams = []
    for k, group in enumerate(groups):
        before = group is not None and k > 0 and groups[k - 1] == group
        after = group is not None and k + 1 < len(groups) and groups[k + 1] == group
        beams.append(
            {(False, True): "begin", (True, True): "continue", (True, False): "end"}.get((before, after), "")
        )
    return beams


def _beam_group(placed: Placed, *, eighths_q: int) -> tuple[str, int] | None:
    name, dots = _type(placed.length_q)
    if dots or name not in ("eighth", "16th"):
        return None
    return name, int(placed.start_q / (eighths_q if name == "eighth" else 1))
