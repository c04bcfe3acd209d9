"""Dynamics, hairpins and tempo marks met while walking a part. Tempo in beats a minute; raises nothing."""

import re
from xml.etree.ElementTree import Element

from repertoire.notation.score import Dynamic, Hairpin, TempoMark

# From memory of common practice; words outside this list ("dolce", "pizz.") say nothing of the tempo.
TEMPO_WORDS = re.compile(
    r"\b(rit|ritard|rall|accel|allarg|string|sten|ritenuto|rallentando|accelerando|ritardando|stringendo|"
    r"allargando|a tempo|tempo|meno mosso|pi[uù] mosso|rubato|grave|larg[oh]\w*|lento|adagi\w+|andant\w+|"
    r"moderato|allegr\w+|viva\w+|prest\w+)\b",
    re.IGNORECASE,
)
BEAT_UNITS_Q = {"long": 16.0, "breve": 8.0, "whole": 4.0, "half": 2.0, "quarter": 1.0, "eighth": 0.5}
BEAT_UNITS_Q |= {"16th": 0.25, "32nd": 0.125}
NUMBER = re.compile(r"\d+(?:[.,]\d+)?")


class Marks:
    """Collects marks in document order; positions in quarters from the start of the bar."""

    def __init__(self) -> None:
        self.dynamics: list[Dynamic] = []
        self.hairpins: list[Hairpin] = []
        self.tempo_marks: list[TempoMark] = []
        self._open: dict[str, tuple[str, int, float]] = {}

    def direction(self, index: int, start_q: float, element: Element) -> None:
        """Collect the dynamics, hairpins and tempo of a `<direction>`."""
        for kind in element.iterfind("direction-type/*"):
            if kind.tag == "dynamics":
                self._dynamics(index, start_q, kind)
            elif kind.tag == "wedge":
                self._wedge(index, start_q, kind)
        self._tempo(index, start_q, element)

    def sound(self, index: int, start_q: float, element: Element) -> None:
        """Collect the tempo of a `<sound>` that stands alone: for playback, not printed."""
        bpm = _number(element.get("tempo"))
        if bpm:
            self.tempo_marks.append(TempoMark(index, start_q, bpm, 1.0, printed=False))

    def note_dynamics(self, index: int, start_q: float, note: Element) -> None:
        """Collect the dynamics written at a note."""
        for dynamics in note.iterfind("notations/dynamics"):
            self._dynamics(index, start_q, dynamics)

    def close(self, last_index: int, length_q: float) -> None:
        """End hairpins that the file never ends at the end of the music."""
        for kind, measure, start_q in self._open.values():
            self.hairpins.append(Hairpin(kind, measure, start_q, last_index, length_q))
        self._open.clear()
        self.hairpins.sort(key=lambda pin: (pin.start_measure, pin.start_q))

    def _dynamics(self, index: int, start_q: float, element: Element) -> None:
        for child in element:
            text = (child.text or "").strip() if child.tag == "other-dynamics" else child.tag
            mark = Dynamic(index, start_q, text)
            if text and mark not in self.dynamics[-4:]:
                self.dynamics.append(mark)

    def _wedge(self, index: int, start_q: float, element: Element) -> None:
        number, kind = element.get("number", "1"), element.get("type", "")
        if kind in ("crescendo", "diminuendo"):
            self._open[number] = (kind, index, start_q)
        elif kind == "stop" and number in self._open:
            opened, measure, first_q = self._open.pop(number)
            self.hairpins.append(Hairpin(opened, measure, first_q, index, start_q))

    def _tempo(self, index: int, start_q: float, element: Element) -> None:
        text = " ".join(" ".join(words.text or "" for words in element.iter("words")).split())
        for metronome in element.iterfind("direction-type/metronome"):
            bpm, unit_q = _metronome(metronome)
            if bpm:
                self.tempo_marks.append(TempoMark(index, start_q, bpm, unit_q, text))
                return
        sound = element.find("sound")
        bpm = _number(sound.get("tempo")) if sound is not None else None
        if bpm:
            self.tempo_marks.append(TempoMark(index, start_q, bpm, 1.0, text, printed=False))
        elif text and TEMPO_WORDS.search(text):
            self.tempo_marks.append(TempoMark(index, start_q, None, 1.0, text))


def _number(text: str | None) -> float | None:
    found = NUMBER.search(text or "")
    value = float(found.group().replace(",", ".")) if found else 0.0
    return value if 0 < value < 1000 else None


def _metronome(element: Element) -> tuple[float | None, float]:
    """Beats a minute and the beat unit in quarters of "dotted quarter = 60"; a range gives its lower end."""
    unit_q = BEAT_UNITS_Q.get((element.findtext("beat-unit") or "").strip(), 1.0)
    if element.find("beat-unit-dot") is not None:
        unit_q *= 2 - 0.5 ** len(element.findall("beat-unit-dot"))
    return _number(element.findtext("per-minute")), unit_q
