"""Made takes with repeats, cuts, stops and new starts: the bars played are known and must come back."""

from dataclasses import replace

import numpy as np
import pytest

from recordings.analysis.analyse import analyse
from repertoire.wording.words import words
from tests.recordings.analysis.made import TUNE, Player, audio, form, render, score, settings
from tests.recordings.analysis.measured import ALL, PRINTED, kinds, measure

pytestmark = pytest.mark.slow

WITH_REPEAT = (0, 1, 2, 3, 0, 1, 2, 3, *range(4, 12))


def test_all_of_them_means_all_passes():
    document, _ = measure(Player(cents={71: -20.0}), WITH_REPEAT, printed=score(order=WITH_REPEAT))
    [finding] = [f for f in document["findings"] if f["kind"] == "intonation"]
    in_those_bars = [n for n in document["notes"] if n["midi"] == 71 and n["bar"] in finding["bar_list"]]
    assert f"all {len(in_those_bars)} of them" in words(finding["text"])


def test_a_repeat_left_out_is_named_by_its_bars():
    document, _ = measure(Player(), ALL, asked=WITH_REPEAT, printed=score(order=WITH_REPEAT))
    assert document["form"]["text"] == "1-12"
    assert not document["form"]["complete"]
    assert document["form"]["left_out"] == []
    assert document["form"]["share_played"] == 1.0
    repeat = next(f for f in document["findings"] if f["kind"] == "repeat_left_out")
    assert repeat["bar_list"] == ["1", "2", "3", "4"]


def test_a_first_ending_goes_with_its_repeat_and_is_no_bar_left_out():
    with_endings = (0, 1, 2, 3, 0, 1, 2, *range(4, 12))
    document, _ = measure(Player(), (0, 1, 2, *range(4, 12)), asked=with_endings,
                          printed=score(order=with_endings))  # fmt: skip
    assert "repeat_left_out" in kinds(document)
    assert "left_out" not in kinds(document)
    assert (document["form"]["missing_count"], document["form"]["left_out"]) == (0, [])
    assert document["form"]["share_played"] == 1.0
    assert not document["form"]["complete"]


def test_a_repeat_taken_as_asked():
    document, _ = measure(Player(), WITH_REPEAT, printed=score(order=WITH_REPEAT))
    assert document["form"]["text"] == "1-4, 1-12"
    assert document["form"]["complete"]
    assert [b["pass"] for b in document["bars"]][:8] == [1, 1, 1, 1, 2, 2, 2, 2]


def test_a_repeat_taken_though_not_asked_for():
    document, _ = measure(Player(), WITH_REPEAT, asked=ALL, printed=score(order=WITH_REPEAT))
    assert document["form"]["text"] == "1-4, 1-12"
    assert document["form"]["complete"]
    assert not document["form"]["restarts"]
    assert "repeat_added" in kinds(document)


@pytest.mark.parametrize("last", [4, 7, 10])
def test_an_early_stop_is_named_by_bar(last):
    document, _ = measure(Player(), tuple(range(last)), asked=ALL, cut=2)
    assert document["form"]["ended_bar"] == str(last)
    assert document["form"]["left_out"] == [str(n) for n in range(last + 1, 13)]
    assert not document["form"]["complete"]
    unplayed = [n for n in document["notes"] if int(n["bar"]) > last]
    assert unplayed
    assert all(n["status"] == "missing" and n["onset_s"] is None for n in unplayed)
    assert "stopped_early" in kinds(document)


def test_a_late_beginning_is_named_by_bar():
    document, _ = measure(Player(), tuple(range(4, 12)), asked=ALL)
    assert document["form"]["began_bar"] == "5"
    assert document["form"]["left_out"] == ["1", "2", "3", "4"]


def test_a_restart_is_named_by_bar_and_time():
    order = (*range(6), *range(4, 12))
    player = Player(pauses={6: 1.5})
    document, sounded = measure(player, order, asked=ALL)
    assert [r["bar"] for r in document["form"]["restarts"]] == ["5"]
    truth = [n.onset_s for n in sounded if n.note_id == "m4n0"][1]
    assert document["form"]["restarts"][0]["time_s"] == pytest.approx(truth, abs=0.1)
    assert document["form"]["complete"]
    assert "restart" in kinds(document)


def test_bars_jumped_over_are_left_out():
    document, _ = measure(Player(), (0, 1, 2, 3, 4, 8, 9, 10, 11), asked=ALL)
    assert document["form"]["left_out"] == ["6", "7", "8"]
    assert "left_out" in kinds(document)


def test_other_music_after_an_early_stop_is_not_taken_for_the_rest():
    other = score(
        tuple(tuple(int(m) for m in np.random.default_rng(i).integers(55, 80, 8)) for i in range(4))
    )
    start = Player().play(PRINTED, tuple(range(6)))
    rest = Player(bpm=110).play(other, tuple(range(4)), lead_s=start[-1].offset_s + 1.0)
    document = analyse(audio(render([*start, *rest])), form(PRINTED), settings()).to_json()
    claimed = [n for n in document["notes"] if int(n["bar"]) > 6 and n["onset_s"] is not None]
    assert len(claimed) <= 2
    assert document["form"]["ended_bar"] == "6"


def test_the_same_notes_in_another_order_are_another_piece():
    backwards = score(tuple(tuple(reversed(bar)) for bar in reversed(TUNE)))
    document = analyse(audio(render(Player().play(backwards, ALL))), form(PRINTED), settings()).to_json()
    assert document["findings"][0]["kind"] == "not_recognised"


@pytest.mark.parametrize("bar", [3, 8])
def test_a_bar_played_to_its_end_and_then_again_is_a_restart(bar):
    order = (*range(bar + 1), *range(bar, 12))
    document, _ = measure(Player(pauses={bar + 1: 1.4}), order, asked=ALL)
    assert [r["bar"] for r in document["form"]["restarts"]] == [str(bar + 1)]
    assert not document["tempo"]["hesitations"]
    assert {n["status"] for n in document["notes"]} == {"played"}


def test_several_run_throughs_miss_nothing():
    document, _ = measure(Player(pauses={16: 0.5}), WITH_REPEAT * 2, asked=WITH_REPEAT,
                          printed=score(order=WITH_REPEAT))  # fmt: skip
    assert document["form"]["missing_count"] == 0
    assert document["form"]["share_played"] == 1.0
    assert document["form"]["complete"]
    assert [r["bar"] for r in document["form"]["restarts"]] == ["1"]


def test_a_stop_in_the_second_pass_is_a_stop_and_no_repeat_left_out():
    order = (*range(12), *range(4, 12))
    printed = score(order=order)
    document, _ = measure(Player(), order[:18], asked=order, printed=printed)
    assert "stopped_early" in kinds(document)
    assert "repeat_left_out" not in kinds(document)
    assert not document["form"]["complete"]
    assert document["form"]["ended_bar"] == "10"


@pytest.mark.parametrize("asked", [(0, 1, 2, 3), (4, 5, 6, 7), (8, 9, 10, 11)])
def test_more_played_than_asked_is_not_forced_onto_the_asked_bars(asked):
    document, sounded = measure(Player(), ALL, asked=asked)
    assert document["form"]["bars_played"] == [str(index + 1) for index in asked]
    assert document["form"]["complete"]
    assert not document["form"]["restarts"]
    start = next(n.onset_s for n in sounded if n.note_id == f"m{asked[0]}n0")
    assert document["notes"][0]["onset_s"] == pytest.approx(start, abs=0.05)


def test_a_scale_before_the_music_is_not_the_music():
    scale = score(((62, 64, 66, 67), (69, 71, 73, 74)))
    warm_up = Player(bpm=110).play(scale, (0, 1))
    start = Player().play(PRINTED, ALL, lead_s=warm_up[-1].offset_s + 1.5)
    document = analyse(audio(render([*warm_up, *start])), form(PRINTED), settings()).to_json()
    assert document["form"]["text"] == "1-12"
    assert not document["form"]["restarts"]
    assert not [f for f in document["findings"] if not f["strength"]]


def test_a_repeated_note_left_out_is_missing_and_not_held():
    document, _ = measure(Player(leave_out={"m2n1"}, bpm=72))
    assert [n["note_id"] for n in document["notes"] if n["status"] == "missing"] == ["m2n1"]


CUT = (0, 1, 2, 3, 8, 9, 10, 11)


def test_a_cut_that_is_made_is_no_fault():
    document, _ = measure(Player(), CUT)
    assert document["form"]["complete"]
    assert not [f for f in document["findings"] if not f["strength"]]


def test_a_cut_that_is_not_made_is_named_and_the_rest_still_measured():
    document, _ = measure(Player(), ALL, asked=CUT)
    reported = [words(f["text"]) for f in document["findings"] if f["kind"] == "cut_not_made"]
    assert reported == ["Played, though left out of what is asked: bars 5-8."]
    assert document["form"]["text"] == "1-12"
    assert not kinds(document) & {"left_out", "restart", "hesitation", "wrong_note"}


def test_the_repeat_played_in_a_form_of_first_endings():
    printed = replace(
        score(order=(0, 1, 2, 3, 0, 1, 2, *range(4, 12))), order_without_repeats=(0, 1, 2, *range(4, 12))
    )
    asked = (0, 1, 2, 3, *range(5, 12))
    document, _ = measure(Player(), asked, printed=printed)
    assert not [f for f in document["findings"] if not f["strength"]]
    played = (0, 1, 2, 3, 0, 1, 2, 3, *range(5, 12))
    document, _ = measure(Player(), played, asked=asked, printed=printed)
    assert "repeat_added" in kinds(document)


def test_a_repeat_with_its_first_ending_played_though_not_asked_for():
    printed = replace(
        score(order=(0, 1, 2, 3, 0, 1, 2, *range(4, 12))), order_without_repeats=(0, 1, 2, *range(4, 12))
    )
    document, _ = measure(Player(), printed.order, asked=printed.order_without_repeats, printed=printed)
    reported = [words(f["text"]) for f in document["findings"] if not f["strength"]]
    assert reported == ["Played again, though no repeat is asked for: bars 1-3."]
    assert words(document["form"]["repeats"]) == "Played again though no repeat was asked for: bars 1-3."
    assert document["form"]["text"] == "1-4, 1-3, 5-12"


def test_an_end_the_judges_allow_is_told_without_blame():
    document, _ = measure(Player(), tuple(range(7)), asked=ALL, may_be_stopped=True)
    (reported,) = [f for f in document["findings"] if f["kind"] == "stopped_early"]
    assert (
        words(reported["text"])
        == "The take ends in bar 7, which is allowed here: the judges may stop anywhere."
    )
