"""Does the score fit the instrument it was said to be for? Questions to the director, never a refusal."""

from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repertoire.notation.instruments import Instrument
from repertoire.notation.score import Note, Score
from repertoire.wording.instruments import instrument_name
from repertoire.wording.pitch_names import short_name
from repertoire.wording.words import fill
from repertoire.words import bars_named


@dataclass(frozen=True, slots=True)
class Outside:
    """Notes beyond one end of the instrument's sounding range."""

    notes: tuple[Note, ...]
    bars: tuple[str, ...]  # printed numbers, in order, each once


def outside_range(score: Score, instrument: Instrument) -> tuple[Outside, Outside]:
    """Notes below and above the range, by sounding pitch."""
    low = [note for note in score.notes if note.midi < instrument.sounding_low]
    high = [note for note in score.notes if note.midi > instrument.sounding_high]
    return _outside(score, low), _outside(score, high)


def _outside(score: Score, notes: list[Note]) -> Outside:
    labels = dict.fromkeys(score.measures[note.measure_index].number for note in notes)
    return Outside(tuple(notes), tuple(labels))


def range_questions(score: Score, instrument: Instrument) -> list[str]:
    """One sentence for each end of the range that the score goes beyond; empty when all fits."""
    questions: list[str] = []
    if instrument.key == "other":
        return questions
    low, high = outside_range(score, instrument)
    if low.notes:
        questions.append(
            _("%(where)s: %(pitch)s is below the lowest note of this instrument (%(limit)s).")
            % _named(score, low, instrument.sounding_low, min(low.notes, key=lambda n: n.midi))
        )
    if high.notes:
        questions.append(
            _("%(where)s: %(pitch)s is higher than this instrument is usually asked to play (%(limit)s).")
            % _named(score, high, instrument.sounding_high, max(high.notes, key=lambda n: n.midi))
        )
    return questions


def _named(score: Score, outside: Outside, limit_midi: int, note: Note) -> dict[str, str]:
    """Both pitches as the player reads them."""
    limit = score.written_pitch(limit_midi, note.measure_index)
    return {"where": bars_named(outside.bars), "pitch": short_name(note.written), "limit": short_name(limit)}


def transposition_question(score: Score, instrument: Instrument) -> str:
    """What is odd about where the score sounds; empty when it is as usual for the instrument."""
    if instrument.key == "other" or score.transposition == instrument.transposition:
        return ""
    return fill(
        _("From bar {bar} on the score {written}, while a part for {instrument:small} usually {usual}."),
        bar=score.measures[0].number,
        written=sounding_words(score.transposition),
        instrument=instrument_name(instrument.key),
        usual=sounding_words(instrument.transposition),
    )


def sounding_words(semitones: int) -> str:
    if semitones == 0:
        return _("sounds as written")
    if semitones < 0:
        return ngettext(
            "sounds %(count)d semitone lower than written",
            "sounds %(count)d semitones lower than written",
            -semitones,
        ) % {"count": -semitones}
    return ngettext(
        "sounds %(count)d semitone higher than written",
        "sounds %(count)d semitones higher than written",
        semitones,
    ) % {"count": semitones}
