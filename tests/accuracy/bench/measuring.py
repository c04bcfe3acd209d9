"""One recipe through the whole analysis, as an upload goes: file, decoding, analysis, document."""

import time
from collections.abc import Callable

import numpy as np

from recordings.analysis import analyse
from recordings.analysis.document.contract import AnalysisSettings
from recordings.analysis.recording import decode
from recordings.analysis.recording.decode import Audio
from recordings.analysis.sound import pitch

from .scoring import TakeScore, score
from .sounding import hz_of
from .takes import Recipe, Studio, Take

LONG_S = 0.25


def measure(
    recipe: Recipe, studio: Studio, beside: Callable[[Take, Audio], None] | None = None
) -> tuple[TakeScore, list[float]]:
    """The take's score; for a clean take also what `at_true_times` gives, and `beside` hears it too."""
    take = studio.take(recipe)
    settings = AnalysisSettings(marked_bpm=take.sheet.bpm, beat_unit_q=take.sheet.beat_unit_q)
    begun_s = time.process_time()
    audio = decode.decode(take.file)
    document = analyse.analyse(audio, take.form, settings).to_json()
    cpu_s = time.process_time() - begun_s
    if recipe.variant != "clean":
        return score(take, document, cpu_s=cpu_s), []
    if beside is not None:
        beside(take, audio)
    return score(take, document, cpu_s=cpu_s), at_true_times(take, audio)


def at_true_times(take: Take, audio: Audio) -> list[float]:
    """|cents off| of the pitch stage alone on notes of 250 ms or more, told their true times."""
    found = []
    for note in take.truth.notes:
        if note.offset_s - note.onset_s < LONG_S:
            continue
        reading = pitch.read(
            audio.samples, sample_rate=audio.sample_rate, onset_s=note.onset_s, offset_s=note.offset_s,
            expected_hz=hz_of(note.midi),
        )  # fmt: skip
        if reading is not None:
            found.append(float(np.abs(reading.cents - note.cents)))
    return found
