"""Sight-reading exercises played by sampled instruments, and how many of their notes the analysis places.

A note counts as placed when it is told as played, and begun within 50 ms of the moment it is heard: the
note-on plus what the sample takes to speak (`bench.sounding`). The player is the benchmark's: 12 cents and
6 ms of unrest, a tempo that leans a little.
"""

import io
from dataclasses import dataclass

import numpy as np
import soundfile

from fixtures.sounds.playing import Hand, Sounding, perform
from recordings.analysis import analyse
from recordings.analysis.document.contract import AnalysisSettings
from recordings.analysis.recording import decode
from repertoire.notation.instruments import INSTRUMENTS
from repertoire.notation.order import forms
from repertoire.notation.write.sight.exercise import Exercise, ExerciseSpec, write_exercise
from repertoire.notation.write.sight.rhythm import Metre
from tests.accuracy.bench.midi import MidiNote
from tests.accuracy.bench.sounding import listen
from tests.accuracy.bench.synth import SAMPLE_RATE, render

WINDOW_S = 0.05
# General MIDI programs from 0, and the written range asked for: two octaves a student is at home in.
PLAYERS = {
    "violin": (40, 55, 81),
    "viola": (41, 48, 74),
    "cello": (42, 36, 62),
    "flute": (73, 60, 86),
    "oboe": (68, 60, 84),
    "clarinet_b_flat": (71, 52, 79),
    "bassoon": (70, 36, 62),
    "alto_saxophone": (65, 58, 82),
    "trumpet_b_flat": (56, 55, 79),
    "horn_f": (60, 55, 77),
}
KEYS = ((0, "major"), (1, "minor"), (2, "major"), (-3, "minor"), (-4, "major"), (3, "major"), (-1, "minor"))
METRES = (
    Metre(4, 4),
    Metre(3, 4),
    Metre(6, 8),
    Metre(2, 4),
    Metre(2, 2),
    Metre(3, 8),
    Metre(9, 8),
    Metre(12, 8),
)


@dataclass(frozen=True, slots=True)
class Sounded:
    """How many notes were played, told as played, and placed; `wrong` were told as another note."""

    notes: int
    told: int
    placed: int
    wrong: int


def spec_of(instrument: str, level: int, seed: int) -> ExerciseSpec:
    """Every seed another key and metre, so that some hundred meet them all."""
    _program, low, high = PLAYERS[instrument]
    fifths, mode = KEYS[seed % len(KEYS)]
    return ExerciseSpec(INSTRUMENTS[instrument], level, fifths, mode, METRES[seed % len(METRES)], low, high)


class Samples:
    """How late each pitch of an instrument speaks, measured once."""

    def __init__(self) -> None:
        self._delay_s: dict[tuple[int, int], float] = {}

    def delays_s(self, program: int, midis: set[int]) -> dict[int, float]:
        wanted = sorted(midi for midi in midis if (program, midi) not in self._delay_s)
        if wanted:
            for midi, sampled in listen(program, wanted).items():
                self._delay_s[program, midi] = sampled.delay_s
        return {midi: self._delay_s[program, midi] for midi in midis}


def played_and_told(instrument: str, exercise: Exercise, *, seed: int) -> list[tuple[Sounding, dict]]:
    """Every note as it was played, with what the analysis tells of it."""
    form = forms.play(exercise.canonical.score)
    hand = Hand(bpm=exercise.bpm, cents_sd=12.0)
    program = PLAYERS[instrument][0]
    rng = np.random.default_rng([seed, program])
    played = perform(form, hand, beat_unit_q=exercise.beat_unit_q, rng=rng).notes
    midi = [MidiNote(note.onset_s, note.offset_s, note.midi, float(round(note.cents)), 88) for note in played]
    file = io.BytesIO()
    soundfile.write(file, render(midi, program=program), SAMPLE_RATE, format="WAV")
    file.seek(0)
    settings = AnalysisSettings(marked_bpm=exercise.bpm, beat_unit_q=exercise.beat_unit_q)
    document = analyse.analyse(decode.decode(file), form, settings).to_json()
    told = {note["note_id"]: note for note in document["notes"]}
    return [(note, told[form.notes[note.index].note.note_id]) for note in played]


def sound(instrument: str, exercise: Exercise, *, seed: int, samples: Samples) -> Sounded:
    """Play the exercise, measure it, and hold what is told to what was played."""
    found = played_and_told(instrument, exercise, seed=seed)
    delays_s = samples.delays_s(PLAYERS[instrument][0], {note.midi for note, _one in found})
    right = [(note, one) for note, one in found if one["status"] == "played"]
    placed = [
        note for note, one in right if abs(one["onset_s"] - note.onset_s - delays_s[note.midi]) <= WINDOW_S
    ]
    wrong = sum(one["status"] == "wrong_pitch" for _note, one in found)
    return Sounded(len(found), len(right), len(placed), wrong)


def exercise_of(instrument: str, level: int, seed: int) -> Exercise:
    return write_exercise(spec_of(instrument, level, seed), seed)
