"""Made takes through the whole analysis: what is known must come back."""

import numpy as np
import pytest

from recordings.analysis.analyse import analyse
from repertoire.wording.words import words
from tests.recordings.analysis.made import TUNE, Player, audio, form, onset_errors, render, score, settings
from tests.recordings.analysis.measured import ALL, PRINTED, kinds, measure

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def clean():
    return measure(Player(cents={62: 6.0, 66: -8.0, 71: 4.0}))


def test_a_clean_take_is_whole(clean):
    document, _ = clean
    assert document["form"]["bars_played"] == [str(n) for n in range(1, 13)]
    assert document["form"]["complete"]
    assert document["form"]["share_played"] == 1.0
    assert {n["status"] for n in document["notes"]} == {"played"}
    assert not [f for f in document["findings"] if not f["strength"]]


def test_onsets_lie_within_50_ms_of_the_truth(clean):
    document, sounded = clean
    errors = onset_errors(document, sounded)
    assert np.mean(errors <= 0.05) >= 0.97
    assert np.median(errors) <= 0.012


def test_cents_lie_within_two_of_the_truth(clean):
    document, sounded = clean
    truth = {n.note_id: 100 * (n.midi - round(n.midi)) for n in sounded}
    offset = document["tuning"]["cents_from_440"]
    errors = [
        abs(n["deviation_cents"] + offset - truth[n["note_id"]])
        for n in document["notes"] if n["deviation_cents"] is not None
    ]  # fmt: skip
    assert len(errors) >= 0.95 * len(sounded)
    assert np.median(errors) <= 1.0
    assert np.percentile(errors, 95) <= 5.0


def test_the_tempo_lies_within_one_percent(clean):
    document, _ = clean
    assert document["tempo"]["metronome_bpm"] == pytest.approx(96.0, rel=0.01)
    assert document["tempo"]["steadiness_percent"] < 2.0


@pytest.mark.parametrize("a4_hz", [415.3, 430.0, 442.0, 452.0])
def test_the_takes_own_tuning_is_found(a4_hz):
    document, _ = measure(Player(a4_hz=a4_hz))
    tuning = document["tuning"]
    sounding_a = tuning["a4_hz"] * 2 ** (tuning["transposed_semitones"] / 12)
    assert 1200 * np.log2(sounding_a / a4_hz) == pytest.approx(0.0, abs=1.5)
    assert document["form"]["share_played"] == 1.0
    assert document["intonation"]["median_abs_cents"] < 3.0


def test_a_take_a_whole_tone_lower_is_said_to_be_so():
    document, _ = measure(Player(a4_hz=440 * 2 ** (-2 / 12)))
    assert document["tuning"]["transposed_semitones"] == -2
    assert "transposed" in kinds(document)
    assert document["form"]["share_played"] == 1.0


def test_flat_notes_are_one_finding_with_their_bars():
    document, _ = measure(Player(cents={71: -20.0}))
    findings = [f for f in document["findings"] if f["kind"] == "intonation"]
    assert len(findings) == 1
    assert "B notes sit about 20 cents low" in words(findings[0]["text"])
    assert set(findings[0]["bar_list"]) <= {"2", "3", "6", "7", "8", "10"}
    assert findings[0]["start_s"] is not None


def test_high_leading_notes_under_twenty_cents_are_never_called_wrong():
    document, _ = measure(Player(cents={73: 17.0}))
    assert "intonation" not in kinds(document)


@pytest.mark.parametrize("ratio", [0.5, 0.6, 1.4])
def test_another_tempo_than_the_marked_one(ratio):
    document, sounded = measure(Player(bpm=96 * ratio))
    assert document["tempo"]["metronome_bpm"] == pytest.approx(96 * ratio, rel=0.02)
    assert document["tempo"]["ratio_to_marked"] == pytest.approx(ratio, rel=0.02)
    assert np.mean(onset_errors(document, sounded) <= 0.05) >= 0.93
    assert ("tempo_slow" if ratio < 1 else "tempo_fast") in kinds(document)


def test_wrong_notes_are_named_with_the_pitch_heard():
    document, _ = measure(Player(wrong={"m2n2": 69, "m8n1": 63}))
    wrong = {n["note_id"]: n["heard_midi"] for n in document["notes"] if n["status"] == "wrong_pitch"}
    assert wrong == {"m2n2": 69, "m8n1": 63}
    texts = [words(f["text"]) for f in document["findings"] if f["kind"] == "wrong_note"]
    assert any("Bar 3: the G sounds as A." in text for text in texts)


RUN = (62, 64, 66, 67, 69, 71, 73, 74, 76, 74, 73, 71, 69, 67, 66, 64)
WITH_RUNS = score((*TUNE[:4], RUN, RUN, *TUNE[4:]))


@pytest.mark.parametrize("bpm", [136.0, 144.0])
@pytest.mark.parametrize(("note_id", "midi"), [("m4n5", 72), ("m4n3", 68), ("m4n10", 75)])
def test_a_wrong_note_in_a_quick_run_is_named(bpm, note_id, midi):
    """A tenth of a second each."""
    order = tuple(range(len(TUNE) + 2))
    document, _ = measure(Player(bpm=bpm, wrong={note_id: midi}), order, printed=WITH_RUNS, bpm=bpm)
    wrong = {n["note_id"]: n["heard_midi"] for n in document["notes"] if n["status"] == "wrong_pitch"}
    assert wrong == {note_id: midi}


def test_the_note_before_struck_once_more_is_a_wrong_note():
    """Bar 2 in eighths of a fifth of a second: its fourth note played as the third again."""
    document, _ = measure(Player(bpm=150, wrong={"m1n3": 71}))
    told = {n["note_id"]: n["heard_midi"] for n in document["notes"] if n["status"] != "played"}
    assert told == {"m1n3": 71}


def test_a_note_left_out_is_missing():
    document, _ = measure(Player(leave_out={"m4n2"}))
    assert [n["note_id"] for n in document["notes"] if n["status"] == "missing"] == ["m4n2"]


def test_rushing_is_told():
    document, _ = measure(Player(pace=lambda bar: 1.0 + 0.018 * max(0, bar - 3)))
    assert "rushing" in kinds(document)


def test_a_hesitation_is_named_by_bar_and_length():
    document, _ = measure(Player(pauses={6: 1.2}))
    stops = document["tempo"]["hesitations"]
    assert [s["bar"] for s in stops] == ["7"]
    assert stops[0]["seconds"] == pytest.approx(1.2, abs=0.1)


def test_noise_does_not_move_the_notes():
    sounded = Player().play(PRINTED, ALL)
    document = analyse(audio(render(sounded, noise_db=-34.0)), form(PRINTED), settings()).to_json()
    assert document["form"]["complete"]
    assert np.mean(onset_errors(document, sounded) <= 0.05) >= 0.9
    assert document["intonation"]["median_abs_cents"] < 4.0


def test_vibrato_is_measured_about_its_middle():
    document, _ = measure(Player(vibrato_cents=25.0, bpm=72.0))
    assert document["intonation"]["median_abs_cents"] < 3.0
    rates = [n["vibrato_rate_hz"] for n in document["notes"] if n["vibrato_rate_hz"]]
    widths = [n["vibrato_extent_cents"] for n in document["notes"] if n["vibrato_rate_hz"]]
    assert len(rates) >= 10
    assert np.median(rates) == pytest.approx(5.5, abs=0.4)
    assert np.median(widths) == pytest.approx(25.0, abs=6.0)


def test_no_vibrato_is_invented(clean):
    document, _ = clean
    assert not [n for n in document["notes"] if n["vibrato_rate_hz"]]


@pytest.mark.parametrize(
    "samples",
    [
        np.zeros(22050 * 4, np.float32),
        (0.05 * np.random.default_rng(2).standard_normal(22050 * 8)).astype(np.float32),
        np.zeros(100, np.float32),
    ],
    ids=["silence", "noise", "nearly nothing"],
)
def test_where_nothing_is_played_nothing_is_claimed(samples):
    document = analyse(audio(samples), form(PRINTED), settings()).to_json()
    assert document["form"]["share_played"] <= 0.1
    assert not document["form"]["complete"]
    assert document["findings"][0]["kind"] == "not_recognised"
    assert document["intonation"]["median_abs_cents"] is None


def test_another_piece_is_said_to_be_another():
    other = score(
        tuple(tuple(int(m) for m in np.random.default_rng(i).integers(55, 80, 6)) for i in range(12))
    )
    sounded = Player().play(other, ALL)
    document = analyse(audio(render(sounded)), form(PRINTED), settings()).to_json()
    assert document["form"]["share_played"] < 0.6
    assert not document["form"]["complete"]


def test_pitch_is_left_unjudged_where_asked():
    document, _ = measure(Player(), intonation_judged=False)
    assert {n["deviation_cents"] for n in document["notes"]} == {None}
    assert document["intonation"]["judged"] is False
    assert all(n["reason"] for n in document["notes"])
