"""What sounds beside the player: each thing is told where it was put, and nothing is told of a clean take."""

import shutil
import subprocess
import wave
from dataclasses import replace

import numpy as np
import pytest

from recordings.analysis.analyse import analyse
from recordings.analysis.measure import accompaniment
from recordings.analysis.recording.decode import SAMPLE_RATE
from recordings.analysis.sound.tuning import Tuning
from repertoire.notation.numerals import clock
from repertoire.wording.words import words
from tests.recordings.analysis.made import Player, audio, form, render, score, settings

pytestmark = pytest.mark.slow

PRINTED = score()
FORM = form(PRINTED)
PRINTED_TUNE = tuple(tuple(n.midi for n in PRINTED.notes_in(index)) for index in range(12))


def reported(samples: np.ndarray) -> dict[str, str]:
    """Kind and sentence of every check that is not fine, through the whole analysis."""
    document = analyse(audio(samples.astype(np.float32)), FORM, settings()).to_json()
    return {c["kind"]: words(c["text"]) for c in document["recording"]["checks"] if c["verdict"] != "fine"}


def played(*, lead_s: float = 0.6, **player) -> np.ndarray:
    return render(Player(**player).play(PRINTED, PRINTED.order, lead_s=lead_s), noise_db=-66.0)


def level(samples: np.ndarray) -> float:
    return float(np.sqrt(np.mean(samples**2)))


def clicks(size: int, bpm: float) -> np.ndarray:
    at_s = np.arange(int(0.03 * SAMPLE_RATE)) / SAMPLE_RATE
    click = (np.sin(2 * np.pi * 2000 * at_s) + 0.6 * np.sin(2 * np.pi * 5100 * at_s)) * np.exp(-at_s / 0.006)
    train = np.zeros(size + click.size)
    for start in (np.arange(0.31, size / SAMPLE_RATE, 60 / bpm) * SAMPLE_RATE).astype(int):
        train[start : start + click.size] += click
    return train[:size] / np.abs(click).max()


def speech(folder) -> np.ndarray:
    path = folder / "voice.wav"
    words = "Good afternoon. My name is on the sheet, and I will play the first study."
    subprocess.run(["espeak-ng", "-w", str(path), words], check=True, timeout=30)
    with wave.open(str(path)) as file:
        rate, data = file.getframerate(), file.readframes(file.getnframes())
    voice = np.frombuffer(data, dtype=np.int16) / 32768
    return np.interp(np.arange(0, voice.size, rate / SAMPLE_RATE), np.arange(voice.size), voice)


def freely(number: int) -> float:
    return 1.0 + 0.04 * np.sin(1.7 * number)


def test_a_player_alone_is_told_nothing():
    assert reported(played(pace=freely)) == {}


def test_a_metronome_is_told_with_its_speed():
    take = played(pace=freely)
    wording = reported(take + 1.5 * level(take) * clicks(take.size, 91.0))
    assert set(wording) == {"metronome"}
    assert any(f"about {bpm} beats" in wording["metronome"] for bpm in (91, 182))


@pytest.mark.skipif(shutil.which("espeak-ng") is None, reason="espeak-ng is not installed")
def test_talking_before_the_music_is_told_at_its_place(tmp_path):
    voice = speech(tmp_path)
    take = played(lead_s=voice.size / SAMPLE_RATE + 2.0, pace=freely)
    start = int(0.5 * SAMPLE_RATE)
    take[start : start + voice.size] += (0.5 * level(take) / level(voice) * voice).astype(np.float32)
    assert "0:00" in reported(take)["talking"]


@pytest.mark.skipif(shutil.which("espeak-ng") is None, reason="espeak-ng is not installed")
@pytest.mark.parametrize("pause_s", [0.1, 0.4, 1.5])
@pytest.mark.parametrize("loudness", [0.3, 1.0])
def test_an_announcement_takes_nothing_of_the_music(tmp_path, pause_s, loudness):
    voice = speech(tmp_path)
    lead_s = 0.5 + voice.size / SAMPLE_RATE + pause_s
    take = played(lead_s=lead_s, pace=freely)
    start = int(0.5 * SAMPLE_RATE)
    take[start : start + voice.size] += (loudness * level(take) / level(voice) * voice).astype(np.float32)
    document = analyse(audio(take), form(PRINTED), settings()).to_json()
    assert document["notes"][0]["onset_s"] == pytest.approx(lead_s, abs=0.06)
    assert document["form"]["complete"]
    assert not document["form"]["restarts"]
    assert document["tempo"]["metronome_bpm"] == pytest.approx(96.0, rel=0.03)


def test_music_before_the_music_is_no_talking():
    take = played(lead_s=9.0, pace=freely)
    tuning_up = render(Player().play(PRINTED, (10, 9)), tail_s=0.0)
    take[: tuning_up.size] += tuning_up
    assert "talking" not in reported(take)


def test_a_second_player_is_told():
    other = score(tuple(tuple(midi - 6 for midi in bar) for bar in reversed(PRINTED_TUNE)))
    take = played(pace=freely)
    second = np.resize(render(Player(bpm=83.0).play(other, other.order)), take.size)
    assert "players" in reported(take + 0.4 * second)


@pytest.mark.parametrize(("step_db", "asked"), [(12.0, True), (0.0, False)])
def test_a_background_that_changes_at_once_is_asked_about(step_db, asked):
    take = played(pauses={6: 2.0}, pace=freely)
    start = next(n.onset_s for n in Player(pauses={6: 2.0}, pace=freely).play(PRINTED, PRINTED.order)
                 if n.note_id == "m6n0")  # fmt: skip
    cut = int((start - 0.9) * SAMPLE_RATE)
    noise = np.random.default_rng(7).standard_normal(take.size) * 10 ** (-60 / 20)
    noise[cut:] *= 10 ** (step_db / 20)
    wording = reported(take + noise)
    assert ("join" in wording) is asked
    if asked:
        assert f"near {clock(start - 0.9)}" in wording["join"]
        assert wording["join"].endswith("?")


def test_a_reverberation_that_dies_away_is_no_join():
    seconds = np.arange(3 * SAMPLE_RATE) / SAMPLE_RATE
    rng = np.random.default_rng(1)
    tail = rng.standard_normal(seconds.size) * (0.1 * 10 ** (-3 * seconds / 1.2) + 10 ** (-65 / 20))
    assert (
        accompaniment.background_jump_s(tail, accompaniment.Span(0.0, 3.0), sample_rate=SAMPLE_RATE) is None
    )


@pytest.mark.parametrize(("factor", "word"), [(48000 / 44100, "fast"), (44100 / 48000, "slow")])
def test_a_file_at_the_wrong_rate_is_asked_about(factor, word):
    take = played(pace=freely)
    at = np.arange(0, take.size - 1, factor)
    assert f"and {word}" in reported(np.interp(at, np.arange(take.size), take))["speed"]


@pytest.mark.parametrize("cents", [-101.0, -50.0, 0.0, 12.0, 41.0, 100.0, 200.0])
def test_no_usual_pitch_is_taken_for_a_wrong_rate(cents):
    shift = round(cents / 100)
    usual = Tuning(440.0, cents - 100 * shift, None, 50, "equal", shift)
    assert accompaniment._speed(usual) == []
    assert accompaniment._speed(replace(usual, cents_from_440=47.0, transposed_semitones=1))
