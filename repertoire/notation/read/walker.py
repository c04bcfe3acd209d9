"""Walks one part of canonical MusicXML in document order and collects bars, notes and marks.

Positions are exact fractions of a quarter note while walking and become floats at the end. Cue notes and
hidden notes are passed over: they are not what the player is to play. What cannot be played from raises
`BadScore` with the bar. Elements after MusicXML 4.0.
"""

from dataclasses import dataclass, field
from fractions import Fraction
from xml.etree.ElementTree import Element

from repertoire.notation import messages
from repertoire.notation.pitches import SEMITONES, WrittenPitch
from repertoire.notation.read.marks import Marks
from repertoire.notation.score import BadScore, Measure
from repertoire.notation.sentence import SentenceCode

TREMOLO_TAGS = "notations/ornaments/tremolo"
TRILL_TAGS = ("trill-mark", "wavy-line", "shake")


@dataclass(slots=True)
class RawNote:
    """A notehead as printed, before ties are merged; `at` counts from the start of the part."""

    note_id: str
    measure_index: int
    start: Fraction
    at: Fraction
    duration: Fraction
    midi: int
    step: str
    alter: int
    octave: int
    voice: int
    grace: bool
    tie_start: bool
    tie_stop: bool
    slurred: bool
    marks: frozenset[str]


@dataclass(slots=True)
class State:
    """What is in force while walking; cursors in quarters from the start of the bar."""

    divisions: int = 0
    fifths: int = 0
    mode: str = ""
    beats: int = 4
    beat_type: int = 4
    transposition: int = 0
    first_transposition: int | None = None
    cursor: Fraction = Fraction(0)
    furthest: Fraction = Fraction(0)
    chord_start: Fraction = Fraction(0)
    slurs: dict[int, set[str]] = field(default_factory=dict)  # open slur numbers by voice


class Walker:
    """Collects `measures`, `notes` (raw) and `marks` from the measures of one part."""

    def __init__(self) -> None:
        self.state = State()
        self.measures: list[Measure] = []
        self.notes: list[RawNote] = []
        self.marks = Marks()
        self._at = Fraction(0)  # where the current bar starts, from the start of the part

    def walk(self, measures: list[Element]) -> None:
        """Collect from these bars; raises `BadScore` with the bar where one cannot be played from."""
        for index, element in enumerate(measures):
            self._measure(index, element)
        self.marks.close(len(measures) - 1, self.measures[-1].length_q if self.measures else 0.0)

    def _measure(self, index: int, element: Element) -> None:
        state = self.state
        state.cursor = state.furthest = state.chord_start = Fraction(0)
        bar = element.get("number", "")
        signature = self._signature()
        first_note = len(self.notes)
        for child in element:
            if child.tag == "note":
                self._note(index, bar, child)
            elif child.tag in ("backup", "forward"):
                self._move(bar, child)
            elif child.tag == "attributes":
                self._attributes(bar, child)
                if not state.cursor:
                    signature = self._signature()
            elif child.tag == "direction":
                self.marks.direction(index, self._offset(child), child)
            elif child.tag == "sound":
                self.marks.sound(index, float(state.cursor), child)
        beats, beat_type, fifths, mode = signature
        nominal = Fraction(4 * beats, beat_type)
        length = self._length(element, nominal, empty=len(self.notes) == first_note)
        self.measures.append(
            Measure(
                measure_id=element.get("id", ""),
                index=index,
                number=bar,
                length_q=float(length),
                beats=beats,
                beat_type=beat_type,
                fifths=fifths,
                mode=mode,
            )
        )
        self._at += length

    def _signature(self) -> tuple[int, int, int, str]:
        return self.state.beats, self.state.beat_type, self.state.fifths, self.state.mode

    def _length(self, element: Element, nominal: Fraction, *, empty: bool) -> Fraction:
        """What the bar really holds; a bar's rest counts as a full bar whatever its written duration."""
        whole_rest = any(rest.get("measure") == "yes" for rest in element.iterfind("note/rest"))
        if not self.state.furthest or (empty and whole_rest and element.get("implicit") != "yes"):
            return nominal
        return self.state.furthest

    def _duration(self, bar: str, element: Element) -> Fraction:
        if self.state.divisions <= 0:
            raise BadScore(messages.NO_DIVISIONS(bar=bar))
        try:
            duration = Fraction((element.findtext("duration") or "").strip())
        except (ValueError, ZeroDivisionError) as error:
            raise BadScore(messages.BAD_LENGTH(bar=bar)) from error
        if duration < 0 or duration.denominator > 10_000 or duration > 10_000 * self.state.divisions:
            raise BadScore(messages.BAD_LENGTH(bar=bar))
        return duration / self.state.divisions

    def _move(self, bar: str, element: Element) -> None:
        step = self._duration(bar, element)
        self.state.cursor += -step if element.tag == "backup" else step
        if self.state.cursor < 0:
            raise BadScore(messages.BAD_VOICES(bar=bar))
        self.state.furthest = max(self.state.furthest, self.state.cursor)

    def _offset(self, direction: Element) -> float:
        try:
            offset = Fraction((direction.findtext("offset") or "0").strip())
        except (ValueError, ZeroDivisionError):
            offset = Fraction(0)
        return max(0.0, float(self.state.cursor + offset / max(1, self.state.divisions)))

    def _attributes(self, bar: str, element: Element) -> None:
        state = self.state
        if element.find("divisions") is not None:
            state.divisions = _integer(element.findtext("divisions"), messages.NO_DIVISIONS, bar)
        if element.find("key/fifths") is not None:
            state.fifths = max(-7, min(7, _integer(element.findtext("key/fifths"), messages.BAD_METER, bar)))
            mode = (element.findtext("key/mode") or "").strip().lower()
            state.mode = mode if mode in ("major", "minor") else ""
        for time in element.findall("time")[:1]:
            if time.find("beats") is not None:
                state.beats, state.beat_type = _meter(time, bar)
        transpose = element.find("transpose")
        if transpose is not None:
            chromatic = _integer(transpose.findtext("chromatic") or "0", messages.BAD_PITCH, bar)
            octaves = _integer(transpose.findtext("octave-change") or "0", messages.BAD_PITCH, bar)
            state.transposition = chromatic + 12 * octaves
        if state.first_transposition is None:
            state.first_transposition = state.transposition

    def _note(self, index: int, bar: str, element: Element) -> None:
        state = self.state
        grace = element.find("grace") is not None
        cue = element.find("cue") is not None
        duration = Fraction(0) if grace else self._duration(bar, element)
        if element.find("chord") is None:
            state.chord_start = state.cursor
            state.cursor += duration
            state.furthest = max(state.furthest, state.cursor)
        hidden = element.get("print-object") == "no"
        pitch = element.find("pitch")
        if pitch is None or cue or hidden:
            return
        step, alter, octave = _pitch(pitch, bar)
        midi = WrittenPitch(step, alter, octave).midi + state.transposition
        if not 0 <= midi <= 127:
            raise BadScore(messages.BAD_PITCH(bar=bar))
        voice = _voice(element)
        ties = {tie.get("type") for tie in [*element.iterfind("tie"), *element.iterfind("notations/tied")]}
        self.marks.note_dynamics(index, float(state.chord_start), element)
        self.notes.append(
            RawNote(
                note_id=element.get("id", ""),
                measure_index=index,
                start=state.chord_start,
                at=self._at + state.chord_start,
                duration=duration,
                midi=midi,
                step=step,
                alter=alter,
                octave=octave,
                voice=voice,
                grace=grace,
                tie_start="start" in ties and not grace,
                tie_stop="stop" in ties and not grace,
                slurred=self._slurred(voice, element),
                marks=_marks(element),
            )
        )

    def _slurred(self, voice: int, element: Element) -> bool:
        """Whether a slur still holds after this note; a stop in another voice closes that slur too."""
        chord = element.find("chord") is not None
        opened = self.state.slurs.setdefault(voice, set())
        starts = [
            s.get("number", "1") for s in element.iterfind("notations/slur") if s.get("type") == "start"
        ]
        stops = [s.get("number", "1") for s in element.iterfind("notations/slur") if s.get("type") == "stop"]
        for number in stops:
            holders = [opened] if number in opened else list(self.state.slurs.values())
            for holder in holders:
                holder.discard(number)
        opened.update(starts)
        if chord and stops:
            self._close_chord_slur()
        return bool(opened)

    def _close_chord_slur(self) -> None:
        """A slur that ends on an upper note of a chord ends for the whole chord."""
        last = self.notes[-1] if self.notes else None
        if last is not None and last.start == self.state.chord_start:
            last.slurred = False


def _integer(text: str | None, code: SentenceCode, bar: str) -> int:
    try:
        return int(float((text or "").strip()))
    except (ValueError, OverflowError) as error:
        raise BadScore(code(bar=bar)) from error


def _meter(time: Element, bar: str) -> tuple[int, int]:
    """Beats and beat type; "3+2" and pairs such as 3/8 + 2/4 are added on the finer beat."""
    total, finest = Fraction(0), 1
    for beats, beat_type in zip(time.findall("beats"), time.findall("beat-type"), strict=False):
        below = _integer(beat_type.text, messages.BAD_METER, bar)
        above = sum(_integer(part, messages.BAD_METER, bar) for part in (beats.text or "").split("+"))
        if not (0 < above <= 64 and 0 < below <= 64):
            raise BadScore(messages.BAD_METER(bar=bar))
        total += Fraction(above, below)
        finest = max(finest, below)
    if not total:
        raise BadScore(messages.BAD_METER(bar=bar))
    return int(total * finest), finest


def _pitch(pitch: Element, bar: str) -> tuple[str, int, int]:
    step = (pitch.findtext("step") or "").strip().upper()
    if step not in SEMITONES:
        raise BadScore(messages.BAD_PITCH(bar=bar))
    octave = _integer(pitch.findtext("octave"), messages.BAD_PITCH, bar)
    try:
        alter = round(float((pitch.findtext("alter") or "0").strip()))
    except (ValueError, OverflowError) as error:
        raise BadScore(messages.BAD_PITCH(bar=bar)) from error
    return step, alter, octave


def _voice(element: Element) -> int:
    text = (element.findtext("voice") or "1").strip()
    return int(text) if text.isdecimal() and len(text) < 4 else 1


def _marks(element: Element) -> frozenset[str]:
    """What is printed on the note, by Note's field names."""
    found = set()
    for ornament in element.iterfind("notations/ornaments/*"):
        if ornament.tag in TRILL_TAGS and ornament.get("type") != "stop":
            found.add("trill")
    if element.find(TREMOLO_TAGS) is not None:
        found.add("tremolo")
    if element.find("notations/fermata") is not None:
        found.add("fermata")
    for articulation in element.iterfind("notations/articulations/*"):
        tag = articulation.tag
        if tag in ("staccato", "staccatissimo", "spiccato"):
            found.add("staccato")
        elif tag in ("accent", "strong-accent"):
            found.add("accent")
        elif tag == "tenuto":
            found.add("tenuto")
        elif tag == "detached-legato":
            found |= {"staccato", "tenuto"}
    return frozenset(found)
