"""Struck and plucked instruments: notes fade before their time is over, and pitch is not judged."""

import numpy as np
import pytest

from recordings.analysis.analyse import analyse
from recordings.analysis.recording.decode import SAMPLE_RATE
from tests.recordings.analysis.made import Player, audio, form, score, settings

pytestmark = pytest.mark.slow

TUNE = ((62, 66, 69, 74), (73, 74, 71, 69), (64, 67, 71, 67), (69, 66, 64, 66), (62, 69, 66, 69),
        (67, 71, 74, 71), (69, 67, 66, 64), (62,))  # fmt: skip
FADE_S = 0.12  # to a third


def struck(sounded, *, tail_s: float = 3.0):
    """Tones that begin at once and fade, as wooden bars do."""
    length = int((sounded[-1].offset_s + tail_s) * SAMPLE_RATE)
    samples = np.random.default_rng(1).standard_normal(length) * 1e-4
    for note in sounded:
        time = np.arange(int(1.5 * SAMPLE_RATE)) / SAMPLE_RATE
        hz = 440.0 * 2 ** ((note.midi - 69) / 12)
        wave = np.sin(2 * np.pi * hz * time) + 0.3 * np.sin(2 * np.pi * 2 * hz * time)
        first = int(note.onset_s * SAMPLE_RATE)
        tone = 0.3 * wave * np.exp(-time / FADE_S) * np.clip(time / 0.002, 0, 1)
        last = min(first + tone.size, length)
        samples[first:last] += tone[: last - first]
    return audio(samples.astype(np.float32))


@pytest.fixture(scope="module")
def printed():
    return score(TUNE)


def measured(printed, player: Player, *, judged: bool = False) -> dict:
    sounded = player.play(printed, printed.order)
    return analyse(struck(sounded), form(printed), settings(intonation_judged=judged)).to_json()


def test_long_notes_that_fade_are_there(printed):
    document = measured(printed, Player(bpm=96))
    assert document["form"]["missing_count"] == 0
    assert document["form"]["complete"]
    assert not [f for f in document["findings"] if not f["strength"]]


def test_a_struck_note_left_out_is_still_missing(printed):
    document = measured(printed, Player(bpm=96, leave_out={"m3n2", "m7n0"}))
    assert [n["note_id"] for n in document["notes"] if n["status"] == "missing"] == ["m3n2", "m7n0"]


def test_time_is_measured_and_pitch_is_not(printed):
    document = measured(printed, Player(bpm=84))
    assert document["tempo"]["metronome_bpm"] == pytest.approx(84, rel=0.02)
    assert all(note["deviation_cents"] is None for note in document["notes"])
