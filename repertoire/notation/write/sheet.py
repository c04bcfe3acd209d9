"""Writes a run of notes in one rhythm as MusicXML: sections in bars, slurs, the last note held.

Each section stands in its own metre: the first in four beats, later ones in three, divided by double bars.
Places and lengths are exact fractions of a quarter; a length that neither one note nor two tied ones can show
raises `ValueError`. Elements after MusicXML 4.0.
"""

from collections.abc import Iterator
from fractions import Fraction
from math import lcm
from xml.etree.ElementTree import Element, SubElement

from repertoire.notation.instruments import Instrument
from repertoire.notation.pitches import WrittenPitch
from repertoire.notation.write.bar import (
    DIVISIONS,
    Alters,
    Placed,
    is_single,
    write_attributes,
    write_bar,
    write_tempo,
)

# Slur patterns that are not one number of notes: the notes of an octave; two slurred, two separate.
SLURS_IN_WORDS = ("octave", "two_two")


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
                write_attributes(
                    measure, instrument if k == 0 else None, fifths, mode, (beats, beat_type), divisions
                )
            if b == k == 0 and bpm is not None:
                write_tempo(measure, bpm, beat_unit_q)
            before = write_bar(measure, placed, fifths, before, divisions)
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
