"""What is said about the recording itself."""

from dataclasses import replace

import numpy as np
import pytest

from recordings.analysis.recording.checks import check
from tests.recordings.analysis.made import Player, audio, render, score

PRINTED = score()


@pytest.fixture(scope="module")
def music() -> np.ndarray:
    return render(Player().play(PRINTED, tuple(range(6))), noise_db=-66.0)


def verdicts(samples: np.ndarray, **source) -> dict[str, str]:
    sound = audio(samples)
    recording = check(replace(sound, source=replace(sound.source, **source)))
    return {c.kind: c.verdict for c in recording.checks}


def test_a_good_recording_is_fine(music):
    assert set(verdicts(music).values()) == {"fine"}


def test_silences_before_and_after(music):
    recording = check(audio(music))
    assert recording.leading_silence_s == pytest.approx(0.6, abs=0.06)
    assert recording.trailing_silence_s == pytest.approx(0.8, abs=0.1)


def test_the_noise_floor_and_what_stands_above_it(music):
    recording = check(audio(music))
    assert recording.noise_floor_dbfs == pytest.approx(-66.0, abs=1.5)
    assert recording.snr_db > 40


def test_noise_without_a_pause_is_found_between_the_harmonics():
    rng = np.random.default_rng(3)
    loud = render(Player().play(PRINTED, tuple(range(8)), lead_s=0.0), tail_s=0.0, noise_db=-120)
    noisy = loud + (10 ** (-40 / 20) * rng.standard_normal(loud.size)).astype(np.float32)
    assert check(audio(noisy)).noise_floor_dbfs == pytest.approx(-40.0, abs=3.0)
    assert verdicts(noisy)["noise"] == "note"


def test_clipping(music):
    clipped = np.clip(6 * music, -1, 1)
    assert check(audio(clipped)).clipped_share > 0.001
    assert verdicts(clipped)["clipping"] == "problem"
    assert check(audio(music / np.abs(music).max())).clipped_share == 0.0


def test_too_quiet(music):
    assert verdicts(music * 0.002)["level"] == "problem"


def test_silence_is_a_problem_not_an_error():
    assert verdicts(np.zeros(22050 * 3, np.float32))["level"] == "problem"
    assert verdicts(np.zeros(10, np.float32))["level"] == "problem"


@pytest.mark.parametrize("hz", [50, 60])
def test_mains_hum(music, hz):
    time = np.arange(music.size) / 22050
    hum = 0.01 * sum(np.sin(2 * np.pi * hz * k * time) / k for k in (1, 2, 3))
    recording = check(audio((music + hum).astype(np.float32)))
    assert recording.hum_hz == hz


def test_dropouts(music):
    broken = music.copy()
    for at in (2.0, 3.9):
        broken[int(at * 22050) : int(at * 22050) + 400] = 0
    assert check(audio(broken)).dropout_count == 2
    assert verdicts(broken)["whole"] == "note"


def test_a_file_shorter_than_it_says(music):
    assert verdicts(music, declared_duration_s=60.0)["whole"] == "problem"


def test_damaged_packets(music):
    assert verdicts(music, packet_errors=4)["whole"] == "note"
