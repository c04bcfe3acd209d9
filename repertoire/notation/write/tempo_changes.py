"""Changes of tempo a person adds to a stored score where its print has none, written as plain directions.

They carry ids of their own, so they can be found and taken out again; ids of bars and notes stay. Tempos are
beats a minute of a beat unit in quarters. A change that has no place raises `BadScore`. MusicXML 4.0.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement

from repertoire.notation import messages
from repertoire.notation.numerals import plain_number
from repertoire.notation.read.marks import BEAT_UNITS_Q, Marks
from repertoire.notation.score import BadScore
from repertoire.notation.xml import parse_trusted, to_text

WRITTEN = "written-tempo-"
OPENING = f"{WRITTEN}opening"
BEFORE_DIRECTIONS = ("print", "attributes", "barline", "sound")
UNITS_BY_LENGTH = {q * dots: (unit, dots) for dots in (1.0, 1.5) for unit, q in BEAT_UNITS_Q.items()}


@dataclass(frozen=True, slots=True)
class TempoChange:
    """From the start of the bar with this number: a tempo by its beat unit, or a word ("rit.")."""

    bar: str
    bpm: float | None = None
    beat_unit_q: float = 1.0
    word: str = ""


def write_tempos(
    musicxml: str, changes: Sequence[TempoChange], *, begins_q_per_minute: float | None = None
) -> str:
    """The score with exactly these written changes; raises `BadScore` for a bar it does not have.

    A tempo needs something to change from: where print begins without a number, `begins_q_per_minute` is
    put at the beginning, unseen.
    """
    tree = parse_trusted(musicxml)
    measures = tree.findall("part/measure")
    _take_out(measures)
    for place, change in enumerate(changes, 1):
        measure = _measure_of(measures, change.bar)
        _refuse_second_tempo(measures, measure, change)
        direction = _direction(change)
        direction.set("id", f"{WRITTEN}{place}")
        measure.insert(_first_place(measure), direction)
    if begins_q_per_minute and any(change.bpm for change in changes) and not _tempo_at_start(measures[0]):
        opening = Element("sound", {"id": OPENING, "tempo": _plain(begins_q_per_minute)})
        measures[0].insert(_first_place(measures[0]), opening)
    return to_text(tree)


def written_tempos(musicxml: str) -> tuple[TempoChange, ...]:
    """What was written into this score, in print order."""
    found = []
    for measure in parse_trusted(musicxml).findall("part/measure"):
        for direction in measure.findall("direction"):
            if direction.get("id", "").startswith(WRITTEN):
                found.append(_read(measure.get("number", ""), direction))
    return tuple(found)


def _take_out(measures: list[Element]) -> None:
    for measure in measures:
        for child in list(measure):
            if child.get("id", "").startswith(WRITTEN):
                measure.remove(child)


def _measure_of(measures: list[Element], bar: str) -> Element:
    labels = [measure.get("number", "") for measure in measures]
    if bar not in labels:
        raise BadScore(messages.BAR_NOT_FOUND(bar=bar, first=labels[0], last=labels[-1]))
    return measures[labels.index(bar)]


def _refuse_second_tempo(measures: list[Element], measure: Element, change: TempoChange) -> None:
    if not change.bpm:
        return
    if measure is measures[0]:
        raise BadScore(messages.TEMPO_AT_BEGINNING(bar=change.bar))
    if _tempo_at_start(measure):
        raise BadScore(messages.TEMPO_TWICE(bar=change.bar))


def _tempo_at_start(measure: Element) -> bool:
    """Whether a tempo with a number stands before the first note of this bar."""
    marks = Marks()
    for child in measure:
        if child.tag in ("note", "forward", "backup"):
            break
        if child.tag == "direction":
            marks.direction(0, 0.0, child)
        elif child.tag == "sound":
            marks.sound(0, 0.0, child)
    return any(mark.bpm for mark in marks.tempo_marks)


def _first_place(measure: Element) -> int:
    """Behind what opens the bar, and behind changes written there before."""
    for place, child in enumerate(measure):
        if child.tag not in BEFORE_DIRECTIONS and not child.get("id", "").startswith(WRITTEN):
            return place
    return len(measure)


def _direction(change: TempoChange) -> Element:
    direction = Element("direction", {"placement": "above"})
    kind = SubElement(direction, "direction-type")
    if not change.bpm:
        SubElement(kind, "words", {"font-style": "italic"}).text = change.word
        return direction
    unit, dots = UNITS_BY_LENGTH[change.beat_unit_q]
    metronome = SubElement(kind, "metronome")
    SubElement(metronome, "beat-unit").text = unit
    if dots > 1.0:
        SubElement(metronome, "beat-unit-dot")
    SubElement(metronome, "per-minute").text = _plain(change.bpm)
    SubElement(direction, "sound", {"tempo": _plain(change.bpm * change.beat_unit_q)})
    return direction


def _read(bar: str, direction: Element) -> TempoChange:
    marks = Marks()
    marks.direction(0, 0.0, direction)
    numbered = next((mark for mark in marks.tempo_marks if mark.bpm), None)
    if numbered:
        return TempoChange(bar, numbered.bpm, numbered.beat_unit_q)
    return TempoChange(bar, word=direction.findtext("direction-type/words") or "")


def _plain(number: float) -> str:
    return plain_number(round(number, 2))
