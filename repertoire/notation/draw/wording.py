"""The score in words, bar by bar, for screen readers and for pages without the drawing.

Pitches are as written for the player; a note tied on is named once with its whole length.
"""

from dataclasses import dataclass
from itertools import groupby

from repertoire.notation import messages
from repertoire.notation.score import Measure, Note, Score, TempoMark

EPSILON_Q = 1e-6
UNIT_NAMES = {q: f"{name} note" for q, name in messages.WORDS_LENGTHS.items()}


@dataclass(frozen=True, slots=True)
class BarWords:
    """One printed bar in words."""

    measure_id: str
    number: str
    text: str


def reading_text(score: Score) -> tuple[BarWords, ...]:
    """One entry for each printed bar, in print order."""
    by_measure: dict[int, list[Note]] = {}
    for note in score.notes:
        by_measure.setdefault(note.measure_index, []).append(note)
    held = {
        measure_index for note in score.notes for measure_index, start_q, _ in note.tied_at if start_q == 0
    }
    before: Measure | None = None
    bars = []
    for measure in score.measures:
        notes = by_measure.get(measure.index, [])
        pieces = [*_signs(measure, before), *_marks(score, measure.index)]
        if measure.index in held:
            pieces.append(messages.WORDS_HELD)
        pieces += _notes(notes, measure, after_held=measure.index in held)
        text = f"{messages.WORDS_BAR.format(bar=measure.number)}: {', '.join(pieces)}."
        bars.append(BarWords(measure.measure_id, measure.number, text))
        before = measure
    return tuple(bars)


def pitch_name(note: Note) -> str:
    """The written pitch: "B flat 4"."""
    return f"{note.written_step}{messages.ALTER_WORDS.get(note.written_alter, '')} {note.written_octave}"


def length_name(quarters: float) -> str:
    """A note length in words: "dotted quarter", or quarters for what no single note shows."""
    for known, name in messages.WORDS_LENGTHS.items():
        if abs(known - quarters) < 1e-3:
            return name
    return messages.WORDS_OTHER_LENGTH.format(quarters=f"{quarters:.4g}")


def _signs(measure: Measure, before: Measure | None) -> list[str]:
    """Metre and key where they begin or change."""
    pieces = []
    if before is None or (measure.beats, measure.beat_type) != (before.beats, before.beat_type):
        pieces.append(messages.WORDS_METRE.format(beats=measure.beats, beat_type=measure.beat_type))
    if before is None or measure.fifths != before.fifths:
        sharps_or_flats = messages.WORDS_KEY.get(abs(measure.fifths))
        pieces.append(sharps_or_flats[measure.fifths < 0] if sharps_or_flats else messages.WORDS_KEY_NONE)
    return pieces


def _marks(score: Score, index: int) -> list[str]:
    pieces = [_tempo(mark) for mark in score.tempo_marks if mark.measure_index == index]
    pieces += [
        messages.WORDS_DYNAMICS.get(mark.text, mark.text)
        for mark in score.dynamics
        if mark.measure_index == index
    ]
    for pin in score.hairpins:
        if pin.start_measure == pin.end_measure == index:
            pieces.append(pin.kind)
        elif pin.start_measure == index:
            pieces.append(messages.WORDS_HAIRPIN[pin.kind])
        elif pin.end_measure == index:
            pieces.append(messages.WORDS_HAIRPIN_END[pin.kind])
    return pieces


def _tempo(mark: TempoMark) -> str:
    if mark.bpm is None:
        return mark.text
    unit = UNIT_NAMES.get(mark.beat_unit_q, length_name(mark.beat_unit_q))
    number = messages.WORDS_TEMPO.format(unit=unit, bpm=f"{mark.bpm:g}")
    return f"{mark.text} ({number})" if mark.text else number


def _notes(notes: list[Note], measure: Measure, *, after_held: bool) -> list[str]:
    """Notes in the order they sound; rests are named where one voice plays alone."""
    if not notes:
        return [] if after_held else [messages.WORDS_EMPTY]
    alone = len({note.voice for note in notes}) == 1 and not after_held
    pieces: list[str] = []
    reached = 0.0
    for start_q, together in groupby(notes, key=lambda note: note.start_q):
        group = list(together)
        if alone and start_q > reached + EPSILON_Q:
            pieces.append(messages.WORDS_REST.format(length=length_name(start_q - reached)))
        pieces += [messages.WORDS_GRACE.format(pitch=pitch_name(note)) for note in group if note.grace]
        struck = [_note(note) for note in group if not note.grace]
        if len(struck) > 1:
            pieces.append(messages.WORDS_CHORD.format(notes=" and ".join(struck)))
        else:
            pieces += struck
        reached = max(reached, *(start_q + note.duration_q for note in group))
    if alone and reached < measure.length_q - EPSILON_Q:
        pieces.append(messages.WORDS_REST.format(length=length_name(measure.length_q - reached)))
    return pieces


def _note(note: Note) -> str:
    words = messages.WORDS_NOTE.format(pitch=pitch_name(note), length=length_name(note.duration_q))
    marks = [word for name, word in messages.WORDS_MARKS.items() if getattr(note, name)]
    return " ".join([words, *marks])
