"""What an exercise takes from music that is being learnt: its keys, its metres, its range."""

from dataclasses import dataclass

from repertoire.notation.instruments import Instrument
from repertoire.notation.keynote import keynote
from repertoire.notation.score import MINOR_ABOVE, Score
from repertoire.notation.write.sight.chance import Chance
from repertoire.notation.write.sight.exercise import ExerciseSpec
from repertoire.notation.write.sight.rhythm import Metre

# Others are read as the first of these: five and seven beats have no usual grouping.
WRITTEN = {(2, 4), (3, 4), (4, 4), (2, 2), (3, 8), (6, 8), (9, 8), (12, 8)}
USUAL = Metre(4, 4)
LEAST_RANGE = 12  # semitones: an octave, so that every key has its tonic in it


@dataclass(frozen=True, slots=True)
class Material:
    """Keys as (sharps, mode) and metres in the order they come; lowest and highest note as written."""

    keys: tuple[tuple[int, str], ...]
    metres: tuple[Metre, ...]
    low: int
    high: int


def material_of(score: Score, bars: set[int], instrument: Instrument) -> Material:
    """Of these bars (measure indexes); the range stays inside the instrument's and is an octave at least."""
    measures = [measure for measure in score.measures if measure.index in bars] or list(score.measures)
    tonic = keynote(score)
    keys: dict[tuple[int, str], None] = {}
    metres: dict[Metre, None] = {}
    for measure in measures:
        told = measure.mode or ("minor" if tonic == measure.fifths + MINOR_ABOVE else "major")
        keys[measure.fifths, "minor" if told == "minor" else "major"] = None
        if (measure.beats, measure.beat_type) in WRITTEN:
            metres[Metre(measure.beats, measure.beat_type)] = None
    inside = {measure.index for measure in measures}
    written = [note.written.midi for note in score.notes if note.measure_index in inside]
    low, high = _range(min(written, default=0), max(written, default=0), instrument)
    return Material(tuple(keys), tuple(metres) or (USUAL,), low, high)


def _range(low: int, high: int, instrument: Instrument) -> tuple[int, int]:
    low = min(max(low, instrument.written_low), instrument.written_high - LEAST_RANGE)
    high = max(min(high, instrument.written_high), low)
    missing = max(0, LEAST_RANGE - (high - low))
    high = min(high + missing, instrument.written_high)
    return min(low, high - LEAST_RANGE), high


def spec_of(material: Material, instrument: Instrument, level: int, seed: int) -> ExerciseSpec:
    """One of the keys and one of the metres, by the seed."""
    chance = Chance(seed)
    fifths, mode = chance.one_of(material.keys)
    metre = chance.one_of(material.metres)
    return ExerciseSpec(instrument, level, fifths, mode, metre, material.low, material.high)
