"""Where a take's semitones lie, told before any note is known."""

import numpy as np
import pytest

from recordings.analysis.sound.tuning import rough_cents
from tests.recordings.sounds import tune_sound

SAMPLE_RATE = 22050
PITCHES = (62, 66, 69, 71, 74, 76, 78, 81)


def tuned(cents: float) -> np.ndarray:
    """Eight notes with overtones, each `cents` above its tempered place."""
    t = np.arange(SAMPLE_RATE) / SAMPLE_RATE
    hz = [440.0 * 2 ** ((pitch - 69) / 12 + cents / 1200) for pitch in PITCHES]
    notes = [sum(np.sin(2 * np.pi * k * f * t) / k for k in (1, 2, 3)) * np.hanning(t.size) for f in hz]
    return (0.1 * np.concatenate(notes)).astype(np.float32)


@pytest.mark.parametrize("cents", [-44.0, -20.0, -3.0, 0.0, 7.85, 31.0, 46.0])
def test_the_place_of_its_semitones(cents):
    assert rough_cents(tuned(cents), sample_rate=SAMPLE_RATE) == pytest.approx(cents, abs=1.5)


def test_noise_under_it_takes_it_nowhere():
    noise = np.random.default_rng(5).normal(0, 0.01, tuned(0).size).astype(np.float32)
    assert rough_cents(tuned(12.0) + noise, sample_rate=SAMPLE_RATE) == pytest.approx(12.0, abs=1.5)


def test_many_minutes_of_the_same_give_the_same():
    long = np.tile(tuned(9.0), 60)
    assert rough_cents(long, sample_rate=SAMPLE_RATE) == pytest.approx(9.0, abs=1.5)


@pytest.mark.parametrize("samples", [np.zeros(0), np.zeros(500), np.zeros(90_000), np.full(90_000, 0.1)])
def test_nothing_to_tune_by(samples):
    assert rough_cents(samples.astype(np.float32), sample_rate=SAMPLE_RATE) == 0.0


def test_a_played_tune():
    made = tune_sound(96.0)
    assert abs(rough_cents(made.astype(np.float32), sample_rate=SAMPLE_RATE)) < 3.0
