"""Strange sound: opposite channels, a constant in it, a damaged file, nearly nothing, another piece."""

from dataclasses import replace

import numpy as np
import pytest

from recordings.analysis.analyse import analyse
from recordings.analysis.document.contract import CaptionSpec
from recordings.analysis.recording.decode import SAMPLE_RATE, decode
from repertoire.wording.words import words
from tests.accuracy.hostile.files import write
from tests.recordings.analysis.made import Player, audio, form, score, settings

pytestmark = pytest.mark.slow

PRINTED = score()
OTHER = score(((61, 63, 68, 70), (70, 68, 63, 61), (63, 61, 70, 68), (68, 70, 61, 63)) * 3)
CAPTIONS = tuple(CaptionSpec(k, k, 0.0, 20.0, 0.5) for k in ("intonation", "rhythm", "tempo", "accuracy"))
SLIP = Player(wrong={"m3n2": 65})


@pytest.fixture(scope="module")
def with_slip():
    return SLIP.render(SLIP.play(PRINTED, tuple(range(12))))


def sine(seconds: float = 2.0) -> np.ndarray:
    return (0.3 * np.sin(2 * np.pi * 440 * np.arange(int(seconds * SAMPLE_RATE)) / SAMPLE_RATE)).astype(
        np.float32
    )


@pytest.mark.parametrize("opened", [False, True])
def test_opposite_channels_do_not_cancel(tmp_path, opened):
    path = write(tmp_path / "take.flac", np.stack([sine(), -sine()]))
    with path.open("rb") as file:
        samples = decode(file if opened else path).samples
    assert np.abs(samples).max() == pytest.approx(0.3, abs=0.02)


def test_two_like_channels_are_their_mean(tmp_path):
    samples = decode(write(tmp_path / "take.flac", np.stack([sine(), 0.5 * sine()]))).samples
    assert np.abs(samples).max() == pytest.approx(0.225, abs=0.02)


def test_a_constant_is_taken_out(tmp_path):
    samples = decode(write(tmp_path / "take.flac", sine() + 0.3)).samples
    assert abs(samples.mean()) < 1e-4
    assert np.abs(samples).max() == pytest.approx(0.3, abs=0.02)


def test_a_slip_is_sure_in_a_whole_file_and_in_doubt_in_a_damaged_one(with_slip):
    def reported(take):
        document = analyse(take, form(PRINTED), settings()).to_json()
        return next(f for f in document["findings"] if f["kind"] == "wrong_note")

    damaged = replace(with_slip, source=replace(with_slip.source, packet_errors=3))
    assert reported(with_slip)["certainty"] == "sure"
    assert reported(damaged)["certainty"] == "unsure"
    assert "please listen" in words(reported(damaged)["text"])


def test_two_notes_are_no_piece(with_slip):
    take = audio(with_slip.samples[: int(1.7 * SAMPLE_RATE)])
    document = analyse(take, form(PRINTED), settings(), captions=CAPTIONS).to_json()
    assert [f["kind"] for f in document["findings"]] == ["not_recognised"]


def test_of_another_piece_nothing_is_measured(with_slip):
    document = analyse(with_slip, form(OTHER), settings(), captions=CAPTIONS).to_json()
    assert [f["kind"] for f in document["findings"]] == ["not_recognised"]
    assert document["bars"] == []
    assert document["tuning"]["a4_hz"] is None
    assert document["tempo"]["metronome_bpm"] is None
    assert all(n["deviation_cents"] is None for n in document["notes"])
    assert all(mark["low"] is None for mark in document["draft_marks"])
