"""Sounding pitches by the name their player reads; apart, so that pages name them without what measures."""

from repertoire.notation.score import Score
from repertoire.notation.sentence import PitchName


def sounded_name(score: Score, midi: int, measure: int | None = None) -> PitchName:
    """A sounding pitch named as the player of the part would read it in this bar, or anywhere in it."""
    written = score.written_pitch(midi, measure)
    return PitchName(written.letter, written.alter)
