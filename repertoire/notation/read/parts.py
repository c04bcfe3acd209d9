"""Several parts or voices in a score: what there is to choose from, and the chosen one taken out.

Positions are exact in the file's own divisions of a quarter, which may change from bar to bar.
"""

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from xml.etree.ElementTree import Element, SubElement

from repertoire.notation import messages
from repertoire.notation.score import BadScore

OF_STAVES = ("clef", "staff-details", "transpose", "key", "time")


@dataclass(frozen=True, slots=True)
class PartChoice:
    """One part, or one voice of a part: `key` ("2", "2v1") names it when the score is read again."""

    key: str
    name: str  # "" where the score names none
    voice: str  # "" for all of them together
    bars: int  # that hold notes of it
    notes: int


class SeveralParts(Exception):
    """A score in which a part has to be chosen before it can be read."""

    def __init__(self, choices: tuple[PartChoice, ...]) -> None:
        super().__init__()
        self.choices = choices


def choices_in(root: Element) -> tuple[PartChoice, ...]:
    """Parts with pitched notes, and where a part has several voices also each of these."""
    names = {entry.get("id"): _name(entry) for entry in root.findall("part-list/score-part")}
    found = []
    for number, part in enumerate(root.findall("part"), 1):
        notes: Counter[str] = Counter()
        bars: Counter[str] = Counter()
        whole = 0
        for measure in part.findall("measure"):
            here = Counter(voice_of(note) for note in measure.findall("note") if _sounds(note))
            notes += here
            bars += Counter(dict.fromkeys(here, 1))
            whole += bool(here)
        if not notes:
            continue
        name = names.get(part.get("id"), "")
        found.append(PartChoice(str(number), name, "", whole, notes.total()))
        if len(notes) > 1:
            found += [
                PartChoice(f"{number}v{voice}", name, voice, bars[voice], notes[voice])
                for voice in sorted(notes)
            ]
    return tuple(found)


def voice_of(note: Element) -> str:
    """The voice of a `<note>`; "1" where the file names none."""
    return (note.findtext("voice") or "1").strip()[:20]


def _sounds(note: Element) -> bool:
    return note.find("pitch") is not None and note.find("cue") is None and note.get("print-object") != "no"


def _name(listed: Element) -> str:
    return " ".join((listed.findtext("part-name") or "").split())


def part_at(root: Element, key: str) -> tuple[Element, str]:
    """The part a choice's key names, and the voice ("" for all); raises `BadScore` for a key of no part."""
    number, _, voice = key.partition("v")
    parts = root.findall("part")
    if not number.isdecimal() or not 1 <= int(number) <= len(parts):
        raise BadScore(messages.CHOICE_UNKNOWN())
    return parts[int(number) - 1], voice


def keep_voice(part: Element, voice: str) -> None:
    """Leave only the notes of one voice, with what is printed for the whole part around them."""
    staff = _staff_of(part, voice)
    for measure in part.findall("measure"):
        _keep_in(measure, voice, staff)


def _staff_of(part: Element, voice: str) -> str:
    """The staff most of the voice's notes stand on."""
    staves = Counter(note.findtext("staff", "1") for note in part.iter("note") if voice_of(note) == voice)
    return staves.most_common(1)[0][0] if staves else "1"


def _keep_in(measure: Element, voice: str, staff: str) -> None:
    """Lay the kept elements on one line again: backing up and moving on only where the line has gaps."""
    cursor, longest, rests = Fraction(0), Fraction(0), True
    kept: list[tuple[Fraction, Fraction, Element]] = []
    for element in list(measure):
        measure.remove(element)
        length = _length(element)
        if element.tag == "backup":
            cursor -= length
        elif element.tag == "forward":
            cursor += length
        elif element.tag == "note":
            chord = element.find("chord") is not None
            if voice_of(element) == voice:
                _drop(element, "staff")
                kept.append((cursor - length if chord else cursor, Fraction(0) if chord else length, element))
                rests = False
            cursor += Fraction(0) if chord else length
        elif element.findtext("staff", staff) == staff:
            _drop(element, "staff")
            if element.tag == "attributes":
                _of_staff(element, staff)
            kept.append((cursor, Fraction(0), element))
        longest = max(longest, cursor)
    if rests and longest:
        kept.append((Fraction(0), longest, _whole_rest(longest)))
    _lay_out(measure, kept, longest)


def _lay_out(measure: Element, kept: list[tuple[Fraction, Fraction, Element]], longest: Fraction) -> None:
    cursor = Fraction(0)
    ends = [element for _, _, element in kept if _is_right_barline(element)]
    kept = [entry for entry in kept if not _is_right_barline(entry[2])]
    for start, length, element in sorted(kept, key=lambda entry: entry[0]):
        if element.tag == "note" and element.find("chord") is not None:
            measure.append(element)
            continue
        if element.tag != "barline":
            _move(measure, start - cursor)
            cursor = start
        measure.append(element)
        cursor += length
    _move(measure, longest - cursor)
    measure.extend(ends)


def _is_right_barline(element: Element) -> bool:
    return element.tag == "barline" and element.get("location", "right") == "right"


def _move(measure: Element, by: Fraction) -> None:
    if by:
        SubElement(
            SubElement(measure, "forward" if by > 0 else "backup"), "duration"
        ).text = f"{float(abs(by)):g}"


def _length(element: Element) -> Fraction:
    try:
        return Fraction((element.findtext("duration") or "0").strip())
    except (ValueError, ZeroDivisionError):
        return Fraction(0)


def _drop(element: Element, tag: str) -> None:
    for child in element.findall(tag):
        element.remove(child)


def _of_staff(attributes: Element, staff: str) -> None:
    _drop(attributes, "staves")
    for tag in OF_STAVES:
        for child in attributes.findall(tag):
            if child.get("number", staff) != staff:
                attributes.remove(child)
            else:
                child.attrib.pop("number", None)


def _whole_rest(length: Fraction) -> Element:
    note = Element("note")
    SubElement(note, "rest", {"measure": "yes"})
    SubElement(note, "duration").text = f"{float(length):g}"
    return note
