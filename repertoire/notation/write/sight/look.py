"""What to look at before playing at sight: key, rhythm, hard spots, each a sentence with its bars."""

from collections.abc import Iterable
from itertools import pairwise

from repertoire.notation import messages
from repertoire.notation.pitches import LINE_OF_FIFTHS, key_alter, spelled_at
from repertoire.notation.score import Note, Score
from repertoire.notation.sentence import PitchName, Sentence, SentenceCode

LEAP_SEMITONES = 5  # from a fourth on it is worth hearing beforehand
MOST_NAMED = 4


def to_look_at(score: Score) -> tuple[Sentence, ...]:
    """The checklist of an exercise, in the order a player goes through it."""
    notes = score.notes
    return (_key(score), *_rhythm(score, notes), *_leap(score, notes), *_altered(score, notes), _end(notes))


def _key(score: Score) -> Sentence:
    first = score.measures[0]
    letter, alter = spelled_at(first.keynote)
    code = messages.SIGHT_MINOR if first.mode == "minor" else messages.MODES["major"]
    key = code(tonic=PitchName(letter, alter))
    count = abs(first.fifths)
    letters = LINE_OF_FIFTHS[:count] if first.fifths > 0 else LINE_OF_FIFTHS[::-1][:count]
    signs = tuple(PitchName(each, key_alter(each, first.fifths)) for each in letters)
    return messages.SIGHT_SIGNS(key=key, notes=signs) if signs else messages.SIGHT_NO_SIGNS(key=key)


def _rhythm(score: Score, notes: tuple[Note, ...]) -> Iterable[Sentence]:
    beat_q = _beat_q(score)
    shortest = min(note.duration_q for note in notes)
    if shortest < beat_q:
        quickest = [note for note in notes if note.duration_q == shortest]
        yield _in_bars(messages.SIGHT_QUICKEST, _bars(score, quickest))
    off_beat = [note for note in notes if _crosses_beat(note, beat_q) and not note.tied_ids]
    if off_beat:
        yield _in_bars(messages.SIGHT_OFF_BEAT, _bars(score, off_beat))
    tied = [note for note in notes if note.tied_ids]
    if tied:
        yield _in_bars(messages.SIGHT_TIE, _bars(score, tied))
    silent = [
        measure.number
        for measure in score.measures
        if sum(_within(note, measure.index) for note in notes) < measure.length_q - 1e-6
    ]
    if silent:
        yield _in_bars(messages.SIGHT_REST, silent)


def _beat_q(score: Score) -> float:
    first = score.measures[0]
    return 1.5 if first.beat_type == 8 and first.beats % 3 == 0 else first.beat_q


def _crosses_beat(note: Note, beat_q: float) -> bool:
    into = note.start_q % beat_q
    return into > 1e-6 and into + note.duration_q > beat_q + 1e-6


def _within(note: Note, measure_index: int) -> float:
    held = sum(duration for index, _start, duration in note.tied_at if index == measure_index)
    own = note.duration_q - sum(duration for _index, _start, duration in note.tied_at)
    return held + (own if note.measure_index == measure_index else 0.0)


def _in_bars(code: SentenceCode, labels: Iterable[str]) -> Sentence:
    named = list(dict.fromkeys(labels))[:MOST_NAMED]
    return code(bars=", ".join(named), count=len(named))


def _bars(score: Score, notes: Iterable[Note]) -> list[str]:
    return [score.measures[note.measure_index].number for note in notes]


def _leap(score: Score, notes: tuple[Note, ...]) -> Iterable[Sentence]:
    pairs = list(pairwise(notes))
    first, second = max(pairs, key=lambda pair: abs(pair[1].midi - pair[0].midi))
    if abs(second.midi - first.midi) >= LEAP_SEMITONES:
        bar = score.measures[second.measure_index].number
        yield messages.SIGHT_LEAP(bar=bar, first=_name(first), second=_name(second))


def _altered(score: Score, notes: tuple[Note, ...]) -> Iterable[Sentence]:
    beside = [
        messages.SIGHT_ALTERED_NOTE(note=_name(note), bar=score.measures[note.measure_index].number)
        for note in notes
        if note.written_alter != key_alter(note.written_step, score.measures[note.measure_index].fifths)
    ]
    if beside:
        yield messages.SIGHT_ALTERED(notes=tuple(beside[:MOST_NAMED]))


def _end(notes: tuple[Note, ...]) -> Sentence:
    return messages.SIGHT_END(note=_name(notes[-1]))


def _name(note: Note) -> PitchName:
    return PitchName(note.written_step, note.written_alter)
