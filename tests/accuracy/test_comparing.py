"""Comparing an analysis with its truth: a perfect analysis is perfect, each fault shows in its own figure."""

import pytest

from tests.accuracy.demo.__main__ import BEGIN, END, between_markers
from tests.accuracy.demo.comparing import compare
from tests.accuracy.demo.table import HEAD, drawn_sentence, table
from tests.fixtures_demo.tune import SCALE, two_bars


def truth(**changes):
    notes = [[n, n // 4, midi, "played", 1.0 + n, 1.9 + n, 3.0] for n, midi in enumerate(SCALE)]
    return {
        "take": "tune", "instrument": "violin", "flaw": "none", "said": "Clean", "where": [], "a4_hz": 442.0,
        "bars_played": ["1", "2"], "restarts": [], "bars": [[0, 1.0, 5.0, 60.0], [1, 5.0, 9.0, 60.0]],
        "note_columns": ["index", "position", "midi", "status", "onset_s", "offset_s", "cents"],
        "notes": notes,
        **changes,
    }  # fmt: skip


def analysis(*, late_s=0.0, cents=3.0, **changes):
    notes = [
        {"note_id": f"n{n}", "position": n // 4, "onset_s": 1.0 + n + late_s, "deviation_cents": cents}
        for n in range(8)
    ]
    return {
        "notes": notes, "tempo": {"metronome_bpm": 60.0}, "tuning": {"a4_hz": 442.0}, "findings": [],
        "form": {"bars_played": ["1", "2"], "restarts": [], "ended_bar": "2"}, **changes,
    }  # fmt: skip


def outcome(reported=None, **changes):
    return compare(reported or truth(), analysis(**changes), two_bars())


def test_a_perfect_analysis_is_perfect():
    measured = outcome()
    assert (measured.onsets_percent, measured.cents_median, measured.tempo_percent) == (100.0, 0.0, 0.0)
    assert measured.form_right
    assert measured.flaw_found is None


def test_late_onsets_count_against_the_onsets_alone():
    measured = outcome(late_s=0.06)
    assert (measured.onsets_percent, measured.cents_median) == (0.0, 0.0)


def test_cents_are_compared_note_by_note():
    assert outcome(cents=-4.0).cents_median == pytest.approx(7.0)


def test_a_note_without_cents_is_left_out_of_the_error_and_counted():
    measured = outcome(cents=None)
    assert measured.cents_median is None
    assert measured.pitched_percent == 0.0


def test_tempo_and_tuning_errors_carry_no_sign():
    measured = outcome(tempo={"metronome_bpm": 57.0}, tuning={"a4_hz": 440.0})
    assert measured.tempo_percent == pytest.approx(5.0)
    assert measured.tuning_cents == pytest.approx(7.85, abs=0.01)


def test_an_invented_restart_makes_the_form_wrong():
    form = {"bars_played": ["1", "2"], "restarts": [{"bar": "2"}], "ended_bar": "2"}
    assert not outcome(form=form).form_right


@pytest.mark.parametrize(("named", "found"), [(["1"], True), (["1", "2"], False), ([], False)])
def test_a_left_out_repeat_must_be_named_by_its_very_bars(named, found):
    reported = truth(flaw="repeat_left_out", where=["1"])
    finding = {"kind": "repeat_left_out", "strength": False, "bar_list": named, "evidence": {}}
    assert outcome(reported, findings=[finding] if named else []).flaw_found is found


def test_flat_notes_told_as_sharp_are_not_found():
    reported = truth(flaw="flat_notes", where=["2"])
    finding = {"kind": "intonation", "strength": False, "bar_list": ["2"], "evidence": {"median_cents": 20.0}}
    assert not outcome(reported, findings=[finding]).flaw_found


@pytest.mark.parametrize(
    ("named", "found"), [(["1", "2", "3"], True), (["1"], False), (["1", "2", "3", "5", "6"], False)]
)
def test_bent_notes_must_be_told_at_most_of_their_bars_and_at_few_others(named, found):
    reported = truth(flaw="flat_notes", where=["1", "2", "3", "4"])
    finding = {
        "kind": "intonation",
        "strength": False,
        "bar_list": named,
        "evidence": {"median_cents": -20.0},
    }
    assert outcome(reported, findings=[finding]).flaw_found is found


@pytest.mark.parametrize(("start_s", "found"), [(20.0, True), (25.0, True), (0.0, False), (35.0, False)])
def test_rushing_must_point_at_the_stretch_that_rushes(start_s, found):
    reported = truth(flaw="rushing", span_s=[20.0, 40.0])
    finding = {"kind": "rushing", "strength": False, "bar_list": [], "start_s": start_s, "end_s": 40.0}
    assert outcome(reported, findings=[finding]).flaw_found is found


def test_a_fault_of_another_kind_is_a_false_alarm_in_a_flawed_take():
    reported = truth(flaw="hesitation", where=["2"])
    findings = [
        {"kind": "hesitation", "strength": False, "bar_list": ["2"]},
        {"kind": "hairpin", "strength": False, "bar_list": ["1"]},
    ]
    measured = outcome(reported, findings=findings)
    assert (measured.flaw_found, measured.false_alarms) == (True, 1)


def test_a_fault_told_in_a_clean_take_is_a_false_alarm_and_praise_is_not():
    findings = [{"kind": "staccato", "strength": False}, {"kind": "strength_steady", "strength": True}]
    assert outcome(findings=findings).false_alarms == 1


def test_the_table_has_a_row_a_take_and_says_that_the_sound_is_synthesised():
    text = table([outcome(), outcome(late_s=0.06)])
    rows = [line for line in text.splitlines() if line.startswith("|")]
    assert len(rows) == 2 + 2 + 1
    assert {row.count("|") for row in rows} == {len(HEAD) + 1}
    assert "synthesised" in text


def test_the_sentence_on_drawn_takes_names_the_flaws_that_were_missed():
    missed = outcome(truth(flaw="stopped_early", where=["1"]))
    text = drawn_sentence([outcome(), missed])
    assert "told right in 2, the flaw in 0 of 1 (not always: stopped early)" in text


def test_the_table_goes_between_the_markers_and_nowhere_else():
    page = f"before\n{BEGIN}\nold\n{END}\nafter\n"
    assert between_markers(page, "new") == f"before\n{BEGIN}\nnew\n{END}\nafter\n"
