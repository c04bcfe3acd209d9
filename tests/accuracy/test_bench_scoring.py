"""The benchmark's definitions, each on a tune of two bars whose analysis is written by hand."""

import io

import pytest

from fixtures.sounds.playing import Performance, PlayedBarTruth, Sounding
from tests.accuracy.bench import table
from tests.accuracy.bench.figures import ANCHORS, Run, cents_off, goals, on_time_percent, tempo_percent
from tests.accuracy.bench.scoring import score
from tests.accuracy.bench.sheet import Sheet
from tests.accuracy.bench.takes import Recipe, Take
from tests.fixtures_demo.tune import SCALE, two_bars

BARS = (PlayedBarTruth(0, 0.0, 2.0, 120.0), PlayedBarTruth(1, 2.0, 4.0, 120.0))


def sounding(index: int, *, cents: float = 0.0, status: str = "played") -> Sounding:
    return Sounding(
        index, index // 4, SCALE[index], cents, 0.5 * index, 0.5 * index + 0.4, -10.0, False, status
    )


def a_take(notes: list[Sounding], bars=BARS, restarts=(), variant: str = "clean") -> Take:
    truth = Performance(tuple(notes), (), tuple(bars), tuple(restarts))
    sheet = Sheet("Two bars", 4, 4, 120.0)
    return Take(Recipe("violin", "runs", variant), two_bars(), sheet, truth, io.BytesIO())


def reported(
    indexes=range(8), *, late_s: float = 0.0, cents: float = 0.0, bpm: float = 120.0, status="played"
) -> dict:
    notes = [
        {"note_id": f"n{i}", "onset_s": 0.5 * i + late_s, "deviation_cents": cents, "confidence": 0.95,
         "status": status}
        for i in indexes
    ]  # fmt: skip
    return {
        "notes": notes,
        "tuning": {"cents_from_440": 5.0},
        "tempo": {"metronome_bpm": bpm, "bars": [{"bar": "1", "start_s": 0.0, "bpm": bpm}]},
        "form": {"bars_played": ["1", "2"], "restarts": [], "text": "1-2"},
        "recording": {"duration_s": 4.0, "checks": []},
        "dynamics": {"levels": [], "accents": [], "hairpins": []},
        "findings": [],
    }


EVERY_NOTE = [sounding(i) for i in range(8)]


def test_cents_are_held_absolutely_so_that_the_takes_own_a_cannot_hide_an_error():
    one = score(a_take([sounding(i, cents=5.0) for i in range(8)]), reported(cents=0.0), cpu_s=0.1)
    assert list(cents_off([one])) == pytest.approx([0.0] * 8)


@pytest.mark.parametrize(("late_s", "percent"), [(0.049, 100.0), (-0.049, 100.0), (0.051, 0.0)])
def test_an_onset_is_right_within_fifty_milliseconds_either_way(late_s, percent):
    assert on_time_percent([score(a_take(EVERY_NOTE), reported(late_s=late_s), cpu_s=0.1)]) == percent


@pytest.mark.parametrize(("bpm", "percent"), [(123.5, 100.0), (124.0, 0.0)])
def test_a_bars_tempo_is_right_within_three_percent(bpm, percent):
    one = score(a_take(EVERY_NOTE), reported(bpm=bpm), cpu_s=0.1)
    assert one.tempo_bars == 1, "what follows the last bar is not known"
    assert tempo_percent([one]) == percent


def test_notes_after_an_early_stop_are_unplayed_and_counted_when_claimed():
    stopped = a_take(EVERY_NOTE[:4], bars=BARS[:1])
    assert (
        score(stopped, reported(), cpu_s=0.1).unplayed_claimed,
        score(stopped, reported(), cpu_s=0.1).unplayed,
    ) == (4, 4)
    assert score(stopped, reported(range(4)), cpu_s=0.1).unplayed_claimed == 0


def test_another_pass_of_the_same_printed_note_is_no_find():
    far = reported()
    far["notes"][0]["onset_s"] = 3.0
    one = score(a_take(EVERY_NOTE), far, cpu_s=0.1)
    assert one.notes[0].status == "missing"
    assert one.notes[0].cents_off is None


def test_of_an_attempt_given_up_only_the_second_counts():
    again = [*EVERY_NOTE[:4], *EVERY_NOTE]
    one = score(a_take(again, restarts=((0, 0.0),)), reported(), cpu_s=0.1)
    assert len(one.notes) == 8
    assert not one.form_right, "the new start was not told"


def test_a_wrong_pitch_has_no_cents():
    wrong = [sounding(0, status="wrong_pitch"), *EVERY_NOTE[1:]]
    assert score(a_take(wrong), reported(), cpu_s=0.1).notes[0].cents_off is None


def test_a_goal_is_missed_met_or_without_measure():
    run = Run((score(a_take(EVERY_NOTE), reported(cents=-5.0 + 20.0), cpu_s=0.1),), ())
    by_question = {figure.question: figure for figure in goals(run)}
    assert by_question["cents, whole analysis, clean, without cello"].met is False
    assert by_question["onsets within 50 ms, clean"].met is True
    assert by_question["Opus at 64 kb/s: shift of the median"].met is None


def test_the_tables_go_between_their_marks_and_nowhere_else(tmp_path):
    page = tmp_path / "DEVELOPERS.md"
    page.write_text("no markers")
    with pytest.raises(ValueError, match="no <!-- bench -->"):
        table.between(page, "new")
    page.write_text(f"above\n{table.BEGIN}\nold\n{table.END}\nbelow\n")
    table.between(page, "new")
    assert page.read_text() == f"above\n{table.BEGIN}\nnew\n{table.END}\nbelow\n"


def test_every_anchor_belongs_to_a_question():
    questions = {figure.question for figure in goals(Run((), ()))}
    assert set(ANCHORS) <= questions
