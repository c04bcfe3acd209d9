"""Bars and notes by name. Measure indexes in print order in; nothing is raised."""

from collections.abc import Sequence

from recordings.analysis import sentences
from recordings.analysis.follow.matched import label_ranges
from repertoire.notation.score import Note, Score
from repertoire.notation.sentence import PitchName, Sentence

MOST_NAMED = 5


def bars_text(score: Score, measures: Sequence[int]) -> str:
    """Printed labels of measure indexes as "3, 7-10"."""
    return label_ranges([(m, score.measures[m].number) for m in measures])


def named(score: Score, measures: Sequence[int]) -> Sentence:
    """ "bar 14" or "bars 1-4, 7" for measure indexes, inside a sentence."""
    text = bars_text(score, measures)
    code = sentences.BAR_INSIDE if text.isalnum() else sentences.BARS_INSIDE
    return code(bars=text)


def place(score: Score, measures: Sequence[int]) -> Sentence:
    """ "Bar 3", "Bars 21 to 24", "Bars 3, 7 and 9", or "In many places ..." for measure indexes."""
    text = bars_text(score, measures)
    pieces = text.split(", ")
    if len(pieces) == 1:
        first, dash, last = text.partition("-")
        if dash:
            return sentences.BAR_RANGE(first=first, last=last)
        return sentences.BAR_SINGLE(bar=text)
    if len(pieces) <= MOST_NAMED:
        return sentences.BAR_LIST(bars=tuple(pieces))
    return sentences.BAR_MANY(bars=", ".join(pieces[: MOST_NAMED - 1]))


def note_name(note: Note) -> PitchName:
    """The written name, as the player reads it."""
    return PitchName(note.written_step, note.written_alter)
