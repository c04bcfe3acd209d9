"""The features' grids at other sample rates than the usual one."""

import numpy as np
import pytest

from recordings.analysis.sound import features

ONSETS_S = (0.5, 1.1, 1.7, 2.3)


def tones(sample_rate: int) -> np.ndarray:
    time = np.arange(int(3.0 * sample_rate)) / sample_rate
    samples = np.zeros(time.size)
    for number, onset_s in enumerate(ONSETS_S):
        inside = (time >= onset_s) & (time < onset_s + 0.5)
        samples[inside] += 0.3 * np.sin(2 * np.pi * 440 * 2 ** (number / 12) * time[inside])
    return samples.astype(np.float32)


@pytest.mark.parametrize("sample_rate", [16000, 22050, 44100, 48000])
def test_attacks_and_pitches_lie_where_they_are_at_every_sample_rate(sample_rate):
    found = features.extract(tones(sample_rate), sample_rate=sample_rate, lowest_midi=69)
    assert found.frame_s == pytest.approx(512 / 22050, rel=0.01)
    assert found.bin_hz == pytest.approx(22050 / 2048, rel=0.01)
    for onset_s in ONSETS_S:
        first, last = (int((onset_s + d) / found.fine_frame_s) for d in (-0.1, 0.1))
        peak = first + int(found.fine_novelty[first:last].argmax())
        assert peak * found.fine_frame_s == pytest.approx(onset_s, abs=0.03)
    row = found.spectra[int((ONSETS_S[0] + 0.25) / found.frame_s)]
    assert row.argmax() * found.bin_hz == pytest.approx(440, abs=found.bin_hz)


def test_a_sample_rate_that_holds_too_little_is_refused():
    with pytest.raises(ValueError, match="8000 Hz ends below 5000 Hz"):
        features.extract(tones(8000), sample_rate=8000, lowest_midi=69)
