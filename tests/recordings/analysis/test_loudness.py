"""Loudness against the signals of EBU Tech 3341, made from their description.

Levels and expected values: EBU Tech 3341 table 1 (cases 1 to 5), stereo sines at 1 kHz; here one channel of
the two equal ones with `channels=2`. 0 dBFS at 997 Hz in one channel is -3.01 LKFS (ITU-R BS.1770).
pyloudnorm, a general library that implements BS.1770 on its own, is the second reader.
"""

import numpy as np
import pytest

from recordings.analysis.recording.loudness import integrated, momentary, true_peak_db, weighted_power

TOLERANCE_LU = 0.1


def sine(*parts: tuple[float, float], rate: int, hz: float = 1000.0) -> np.ndarray:
    """Parts of (level dBFS peak, seconds), joined."""
    gain = np.concatenate([np.full(int(seconds * rate), 10 ** (level / 20)) for level, seconds in parts])
    return gain * np.sin(2 * np.pi * hz * np.arange(gain.size) / rate)


@pytest.mark.parametrize("rate", [22050, 48000])
@pytest.mark.parametrize(
    ("parts", "expected"),
    [
        ([(-23.0, 20)], -23.0),
        ([(-33.0, 20)], -33.0),
        ([(-36, 10), (-23, 60), (-36, 10)], -23.0),
        ([(-72, 10), (-36, 10), (-23, 60), (-36, 10), (-72, 10)], -23.0),
        ([(-26, 20), (-20, 20.1), (-26, 20)], -23.0),
    ],
    ids=["case 1", "case 2", "case 3", "case 4", "case 5"],
)
def test_ebu_tech_3341(parts, expected, rate):
    assert integrated(sine(*parts, rate=rate), sample_rate=rate, channels=2) == pytest.approx(
        expected, abs=TOLERANCE_LU
    )


def test_full_scale_in_one_channel():
    loud = integrated(sine((0.0, 5), rate=48000, hz=997.0), sample_rate=48000)
    assert loud == pytest.approx(-3.01, abs=TOLERANCE_LU)


def test_momentary_loudness_of_a_steady_tone():
    powers = weighted_power(sine((-20.0, 3), rate=48000), sample_rate=48000)
    assert momentary(powers)[5:].mean() == pytest.approx(-23.0, abs=TOLERANCE_LU)


def test_silence_has_no_loudness():
    assert integrated(np.zeros(48000), sample_rate=48000) is None
    assert true_peak_db(np.zeros(48000)) is None


def test_true_peak_between_the_samples():
    # a quarter of the sample rate at 45 degrees: samples reach 0.707 of the peak (BS.1770, annex 2)
    time = np.arange(48000)
    wave = 0.5 * np.sin(2 * np.pi * time / 4 + np.pi / 4)
    assert true_peak_db(wave.astype(np.float32)) == pytest.approx(-6.02, abs=0.3)
    assert 20 * np.log10(np.abs(wave).max()) == pytest.approx(-9.03, abs=0.01)


def _pink(rate: int) -> np.ndarray:
    spectrum = np.fft.rfft(np.random.default_rng(4).standard_normal(12 * rate))
    return 0.2 * np.fft.irfft(spectrum / np.sqrt(np.maximum(np.arange(spectrum.size), 1.0))) * 20


@pytest.mark.parametrize("rate", [22050, 44100, 48000])
@pytest.mark.parametrize("kind", ["tones", "swelling tone", "pink noise", "with a pause"])
def test_pyloudnorm_reads_the_same(kind, rate):
    pyloudnorm = pytest.importorskip("pyloudnorm", reason="pyloudnorm is not installed")
    sounds = {
        "tones": sine((-20.0, 6), rate=rate, hz=440.0) + sine((-26.0, 6), rate=rate, hz=3100.0),
        "swelling tone": sine((-40.0, 3), (-28.0, 3), (-16.0, 3), (-30.0, 3), rate=rate, hz=660.0),
        "pink noise": _pink(rate),
        "with a pause": np.concatenate([sine((-18.0, 5), rate=rate), np.zeros(5 * rate)]),
    }
    samples = sounds[kind]
    second = pyloudnorm.Meter(rate).integrated_loudness(samples)
    assert integrated(samples, sample_rate=rate) == pytest.approx(second, abs=TOLERANCE_LU)
