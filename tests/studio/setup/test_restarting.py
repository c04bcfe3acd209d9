"""When a part is started again, after which pause, and when that is given up."""

import pytest

from studio.setup.restarting import Patience, Record, manner

EARLY_S, WELL_S = 1.0, 20.0
KILLED, FAILED = -9, 1


def record(*runs_s: float) -> Record:
    """The record of a part after runs of these lengths."""
    made = Record()
    for ran_s in runs_s:
        made.add_end(ran_s)
    return made


def test_the_pauses_double_up_to_the_longest():
    pauses = []
    ended = Record()
    for _ in range(9):
        ended.add_end(EARLY_S)
        pauses.append(ended.pause_s)
    assert pauses == [0.5, 1, 2, 4, 8, 16, 30, 30, 30]


def test_after_a_good_run_the_pauses_begin_anew():
    assert record(EARLY_S, EARLY_S, EARLY_S, WELL_S).pause_s == 0.5
    assert record(EARLY_S, EARLY_S, EARLY_S, WELL_S, EARLY_S, EARLY_S).pause_s == 1


@pytest.mark.parametrize("exit_code", [0, FAILED])
def test_a_part_that_ends_by_itself_right_after_its_first_start_is_given_up(exit_code):
    assert record(EARLY_S).given_up_because(exit_code) == "right after its first start"


def test_killed_at_its_first_start_it_is_started_again():
    assert record(EARLY_S).given_up_because(KILLED) is None


@pytest.mark.parametrize("exit_code", [KILLED, FAILED])
def test_once_it_has_run_well_an_early_end_is_no_reason_to_give_up(exit_code):
    assert record(WELL_S).given_up_because(exit_code) is None
    assert record(WELL_S, EARLY_S).given_up_because(exit_code) is None


@pytest.mark.parametrize("exit_code", [KILLED, FAILED])
def test_given_up_at_the_tenth_early_end_in_a_row(exit_code):
    nine = [EARLY_S] * 9
    assert record(WELL_S, *nine).given_up_because(exit_code) is None
    assert record(WELL_S, *nine, EARLY_S).given_up_because(exit_code) == (
        "10 times in a row soon after it was started"
    )


def test_ends_after_good_runs_are_never_too_many():
    assert record(*[WELL_S] * 1000).given_up_because(FAILED) is None


def test_another_patience():
    hasty = Record(Patience(first_pause_s=0.1, longest_pause_s=0.15, most_early_ends=2))
    hasty.add_end(EARLY_S)
    assert hasty.pause_s == 0.1
    hasty.add_end(EARLY_S)
    assert hasty.pause_s == 0.15
    assert hasty.given_up_because(KILLED) == "2 times in a row soon after it was started"


def test_how_it_ended_is_reported():
    assert manner(FAILED) == "ended by itself (exit code 1)"
    assert manner(KILLED) == "was killed (signal 9)"
