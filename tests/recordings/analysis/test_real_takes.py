"""Three real takes of solo violin, read from beside the project where they are present.

What is truth: the notes and the repeats taken. Note times there are an estimated alignment on a 32 ms grid.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from recordings.analysis.analyse import AnalysisSettings, analyse
from recordings.analysis.recording.decode import decode
from repertoire.notation.order import forms
from repertoire.notation.read import reading

FOLDER = Path(__file__).resolve().parents[4] / "shared" / "real"
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not FOLDER.is_dir(), reason="the real takes are not beside the project"),
]


def found(ending: str) -> Path:
    """The one file of this ending; the files are named after their players, whom nothing here names."""
    [path] = FOLDER.glob(f"*_{ending}")
    return path


def measured(score: str, sound: str) -> dict:
    printed = reading.read_score((FOLDER / score).read_bytes(), filename=score).score
    mark = printed.tempo_marks[0]
    settings = AnalysisSettings(mark.bpm, mark.beat_unit_q)
    return analyse(decode(found(sound)), forms.play(printed), settings).to_json()


@pytest.fixture(scope="module")
def bourree() -> dict:
    return measured("bwv1006_mov6.mxl", "bwv1006_mov6.mp3")


@pytest.fixture(scope="module")
def allegro() -> dict:
    return measured("bwv1003_mov4.mxl", "bwv1003_mov4.opus")


@pytest.fixture(scope="module")
def andante() -> dict:
    return measured("bwv1003_mov3.mxl", "bwv1003_mov3.opus")


def estimated_onsets(name: str) -> list[float]:
    with found(f"{name}.alignment.csv").open() as file:
        return [float(row["start"]) for row in csv.DictReader(file)]


def test_both_repeats_of_the_bourree_are_heard(bourree):
    assert bourree["form"]["text"] == "0-16, 0-36, 16-36"
    assert bourree["form"]["complete"]
    assert bourree["form"]["share_played"] >= 0.95
    assert not bourree["form"]["restarts"]


def test_no_repeat_of_the_allegro_is_heard(allegro):
    assert allegro["form"]["text"] == "1-58"
    assert not allegro["form"]["complete"]
    assert allegro["form"]["share_played"] >= 0.90
    assert allegro["form"]["left_out"] == []
    assert not allegro["form"]["restarts"]


def test_an_andante_in_double_stops_is_followed_to_its_last_bar(andante):
    """43 of 100 of its onsets are double stops; neither repeat is played, and its endings go with them."""
    form = andante["form"]
    assert form["text"] == "1-10, 11-25, 28"
    assert (form["note_count"], form["missing_count"], form["wrong_count"]) == (381, 0, 0)
    assert form["left_out"] == []
    told = {f["kind"] for f in andante["findings"] if not f["strength"]}
    assert told <= {"repeat_left_out", "intonation", "tempo_slow"}


def test_what_is_told_of_the_two_fast_takes_is_pitch_and_form(bourree, allegro):
    """Freedom of time by fine players is no fault: nothing of hesitations, runs or stretches of tempo."""
    for document in (bourree, allegro):
        told = {f["kind"] for f in document["findings"] if not f["strength"]}
        assert told <= {"repeat_left_out", "wrong_note", "intonation", "tempo_slow"}


def test_every_note_of_the_bourree_lies_near_the_estimated_alignment(bourree):
    detected = np.sort([n["onset_s"] for n in bourree["notes"] if n["onset_s"] is not None])
    reported = np.sort(estimated_onsets("bwv1006_mov6"))
    assert detected.size == reported.size
    apart = detected - reported
    assert np.mean(np.abs(apart - np.median(apart)) <= 0.1) >= 0.97


def test_the_tuning_agrees_with_an_independent_pitch_tracker(bourree):
    import librosa  # slow to import, and only this test needs it

    audio = decode(found("bwv1006_mov6.mp3"))
    f0_hz, voiced, probability = librosa.pyin(
        audio.samples[: 15 * audio.sample_rate],
        sr=audio.sample_rate,
        fmin=180,
        fmax=2800,
        resolution=0.05,
        hop_length=512,
    )
    clear = voiced & (probability > 0.5)
    ours = bourree["tuning"]["cents_from_440"]
    cents = 1200 * np.log2(f0_hz[clear] / 440.0) - ours
    # the tracker's own grid is 5 cents wide
    assert float(np.median((cents + 50) % 100 - 50)) == pytest.approx(0.0, abs=4.0)


@pytest.mark.parametrize("take", ["bourree", "allegro"])
def test_the_middle_tempo_is_that_of_the_whole(take, request):
    document = request.getfixturevalue(take)
    bars = document["bars"]
    quarters = {"bourree": 288.0, "allegro": 232.0}[take]
    overall = 60.0 * quarters / (bars[-1]["end_s"] - bars[0]["start_s"])
    assert document["tempo"]["metronome_bpm"] == pytest.approx(overall, rel=0.04)


@pytest.mark.parametrize("take", ["bourree", "allegro", "andante"])
def test_a_fine_player_is_not_called_wrong_throughout(take, request):
    document = request.getfixturevalue(take)
    assert document["form"]["wrong_count"] <= 0.01 * document["form"]["note_count"]
    assert document["intonation"]["median_abs_cents"] < 10.0
    assert not document["tempo"]["hesitations"]
