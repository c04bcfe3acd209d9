"""Draft marks against what juries hold to, and what stands beside the ear.

Common practice, no published source: clean playing below the marked tempo outranks untidy playing at it.
"""

from dataclasses import replace

import numpy as np
import pytest

from recordings.analysis.analyse import analyse
from recordings.analysis.document.contract import CaptionSpec
from repertoire.wording.words import words
from tests.recordings.analysis.made import Player, Sounded, form, score, settings

pytestmark = pytest.mark.slow

PRINTED = score()
ALL = tuple(range(12))
CAPTIONS = (
    CaptionSpec("intonation", "Intonation", 1, 10, 0.5),
    CaptionSpec("accuracy", "Accuracy", 1, 10, 0.5),
    CaptionSpec("tempo", "Tempo", 1, 10, 0.5),
    CaptionSpec("ear-1", "Tone", 1, 10, 0.5),
    CaptionSpec("ear-2", "Musicality", 1, 10, 0.5),
)
UNTIDY = {"cents": {71: -24.0, 66: 18.0, 69: -16.0}, "wrong": {"m2n2": 69, "m8n1": 63, "m5n2": 72}}


def marks(player: Player) -> dict[str, dict]:
    sounded = player.play(PRINTED, ALL)
    document = analyse(
        player.render(sounded),
        form(PRINTED),
        settings(tempo_low_bpm=90.0, tempo_high_bpm=100.0),
        captions=CAPTIONS,
    ).to_json()
    return {mark["caption"]: mark for mark in document["draft_marks"]}


@pytest.fixture(scope="module")
def slow_and_clean() -> dict[str, dict]:
    return marks(Player(bpm=0.6 * 96))


@pytest.fixture(scope="module")
def fast_and_untidy() -> dict[str, dict]:
    return marks(Player(bpm=96, leave_out={"m6n1"}, **UNTIDY))


@pytest.mark.parametrize("caption", ["intonation", "accuracy"])
def test_slow_and_in_tune_is_drafted_above_untidy_at_full_tempo(slow_and_clean, fast_and_untidy, caption):
    assert slow_and_clean[caption]["low"] > fast_and_untidy[caption]["low"]
    assert slow_and_clean[caption]["high"] > fast_and_untidy[caption]["high"]


def test_the_slow_take_loses_its_marks_for_tempo_only(slow_and_clean, fast_and_untidy):
    assert slow_and_clean["tempo"]["high"] < fast_and_untidy["tempo"]["low"]


def test_a_range_comes_with_its_evidence(fast_and_untidy):
    assert "measured notes within 10 cents" in words(fast_and_untidy["intonation"]["evidence"])
    assert "3 other notes" in words(fast_and_untidy["accuracy"]["evidence"])


def test_tone_and_musicality_are_for_the_ear_with_facts_beside(slow_and_clean):
    for caption in ("ear-1", "ear-2"):
        assert slow_and_clean[caption]["low"] is None
        assert words(slow_and_clean[caption]["evidence"]).startswith("For the ear. Beside it: ")
    assert "long notes hold their pitch" in words(slow_and_clean["ear-1"]["evidence"])
    assert "between the soft and the loud notes" in words(slow_and_clean["ear-2"]["evidence"])


def test_one_pitch_steadily_flat_keeps_the_suggestion_below_the_top():
    """Common practice, no published source: a habit of 22 cents on one note in eight is no nine of ten."""
    assert marks(Player(cents={66: -22.0}))["intonation"]["high"] < 9
    assert marks(Player())["intonation"]["high"] == 10


def test_a_habit_that_is_told_keeps_the_suggestion_out_of_the_top_step():
    """F sharps 20 cents low wherever they come, all else in tune: few notes, and a judge hears each."""
    habit = marks(Player(cents={66: -20.0, 78: -20.0}))["intonation"]
    assert habit["low"] < 8
    assert habit["high"] < 9


def test_every_note_in_tune_is_not_drafted_as_seven():
    assert marks(Player())["intonation"]["low"] >= 8


PULSE = CaptionSpec("rhythm", "Rhythm", 1, 10, 0.5)


def leaning_in_time(note: Sounded, now: dict[str, float]) -> Sounded:
    """Leaning on and hurrying on over six beats, as phrases are shaped."""
    shift = LEANING_S * np.sin(2 * np.pi * (4 * int(note.note_id[1:].split("n")[0]) + now[note.note_id]) / 6)
    return replace(note, onset_s=note.onset_s + shift, offset_s=note.offset_s + shift)


LEANING_S = 0.14


def test_freedom_in_the_pulse_is_no_fault_of_rhythm_where_nothing_of_it_is_told():
    player = Player()
    now = {note.note_id: note.start_q for note in PRINTED.notes}
    sounded = [leaning_in_time(note, now) for note in player.play(PRINTED, ALL)]
    document = analyse(player.render(sounded), form(PRINTED), settings(), captions=(PULSE,)).to_json()
    told = {f["kind"] for f in document["findings"]}
    assert not told & {"uneven_run", "hesitation", "restart", "dotted", "triplets"}
    assert document["draft_marks"][0]["low"] >= 7.5


def test_a_tempo_below_the_mark_is_told_beside_many_graver_faults():
    untidy = Player(bpm=86, leave_out={f"m{bar}n1" for bar in (1, 4, 7, 9)}, pauses={3: 2.0, 6: 2.5, 10: 2.0},
                    wrong={"m2n2": 69, "m8n1": 63, "m5n2": 72, "m0n2": 71, "m10n2": 73},
                    cents={74: -30.0, 66: 25.0})  # fmt: skip
    document = analyse(untidy.render(untidy.play(PRINTED, ALL)), form(PRINTED), settings()).to_json()
    assert len(document["findings"]) == 7
    assert "tempo_slow" in {f["kind"] for f in document["findings"]}
