"""Each need with a case and a near miss."""

from datetime import UTC, datetime, timedelta

import pytest

from recordings.readiness.rules import CellFacts, MarkFacts, state_of
from recordings.readiness.week_rules import (
    Measured,
    Need,
    StudentFacts,
    cell_need,
    chases_tempo,
    student_need,
)

NOW = datetime(2031, 3, 10, 12, 0, tzinfo=UTC)
DAY = timedelta(days=1)
SECOND = timedelta(seconds=1)


def cell(**different) -> CellFacts:
    facts = {
        "at": NOW,
        "due_at": NOW + 20 * DAY,
        "closes_at": NOW + 30 * DAY,
        "low_bpm": 88,
        "high_bpm": 104,
        "ready_percent": 70,
    }
    return CellFacts(**{**facts, **different})


def answered(*values: float | None, **different) -> CellFacts:
    """With a released answer of these marks out of ten, everything else as it should be."""
    facts = {
        "take_uploaded_at": NOW - DAY,
        "analysis_state": "done",
        "complete": True,
        "metronome_bpm": 96,
        "review_state": "released",
        "marks": tuple(MarkFacts(f"Caption {number}", value, 10) for number, value in enumerate(values)),
    }
    return cell(**{**facts, **different})


def need_of(facts: CellFacts, takes=()) -> Need | None:
    days_left = (facts.due_at.date() - NOW.date()).days
    return cell_need(facts, state=state_of(facts), days_left=days_left, takes=takes)


@pytest.mark.parametrize(("days", "need"), [(0.2, Need.DUE), (7, Need.DUE), (8, None)])
def test_due_within_seven_days_without_a_take(days, need):
    assert need_of(cell(due_at=NOW + days * DAY)) == need


def test_due_with_a_take_is_nothing_to_tell():
    facts = cell(due_at=NOW + DAY, take_uploaded_at=NOW - DAY, analysis_state="waiting")
    assert need_of(facts) is None


def test_due_where_the_only_take_cannot_be_judged():
    assert need_of(cell(due_at=NOW + DAY, record_again=True)) == Need.DUE


@pytest.mark.parametrize(("past", "need"), [(SECOND, Need.OVERDUE), (timedelta(0), Need.DUE)])
def test_overdue(past, need):
    assert need_of(cell(due_at=NOW - past)) == need


def test_nobody_entered_today_is_overdue():
    assert need_of(cell(due_at=NOW - DAY, entered_today=True)) is None


def test_overdue_with_a_take_is_not():
    assert need_of(cell(due_at=NOW - DAY, take_uploaded_at=NOW - 2 * DAY, analysis_state="waiting")) is None


def test_nothing_is_told_once_the_audition_has_closed():
    assert need_of(cell(due_at=NOW - 2 * DAY, closes_at=NOW - SECOND)) is None


@pytest.mark.parametrize(
    ("waited", "state", "need"),
    [
        (3 * DAY, "done", Need.UNHEARD),
        (3 * DAY, "failed", Need.UNHEARD),
        (3 * DAY - SECOND, "done", None),
        (3 * DAY, "running", None),
    ],
)
def test_unheard_for_three_days(waited, state, need):
    assert need_of(cell(take_uploaded_at=NOW - waited, analysis_state=state)) == need


def test_an_answer_is_heard():
    assert need_of(answered(9, take_uploaded_at=NOW - 9 * DAY)) is None


def takes(*numbers: tuple[float, float | None]) -> list[Measured]:
    """Tempo and share of right notes, told in the order they were played."""
    return [Measured(bpm, right) for bpm, right in reversed(numbers)]


@pytest.mark.parametrize(
    ("numbers", "chases"),
    [
        ([(80, 0.97), (84, 0.94), (90, 0.9)], True),
        ([(80, 0.97), (84, 0.94)], False),
        ([(80, 0.97), (80, 0.94), (90, 0.9)], False),
        ([(80, 0.97), (84, 0.97), (90, 0.9)], False),
        ([(80, 0.97), (84, 0.95), (90, 0.94)], False),
        ([(80, 0.97), (81, 0.94), (83, 0.9)], False),
        ([(80, 0.97), (81, 0.94), (83.2, 0.9)], True),
        ([(80, 0.97), (84, None), (90, 0.9)], False),
        ([(90, 0.9), (84, 0.94), (80, 0.97)], False),
        ([(99, 0.5), (80, 0.97), (84, 0.94), (90, 0.9)], True),
        ([(80, 0.97), (84, 0.94), (90, 0.9), (70, 0.8)], False),
    ],
)
def test_tempo_chasing(numbers, chases):
    assert chases_tempo(takes(*numbers)) is chases


CHASED = takes((80, 0.97), (84, 0.94), (90, 0.9))


def test_chasing_is_told_before_an_answer_and_after_it_but_not_of_a_ready_take():
    assert need_of(cell(take_uploaded_at=NOW - DAY, analysis_state="done"), CHASED) == Need.CHASING
    assert need_of(answered(5), CHASED) == Need.CHASING
    assert need_of(answered(7), CHASED) is None


def test_a_take_that_waits_too_long_is_told_as_that():
    assert need_of(cell(take_uploaded_at=NOW - 4 * DAY, analysis_state="done"), CHASED) == Need.UNHEARD


@pytest.mark.parametrize(
    ("facts", "need"),
    [
        (answered(9, 6), Need.CLOSE),
        (answered(9, 5.5), None),
        (answered(6, 6), None),
        (answered(9, None), None),
        (answered(9, 6, complete=False), None),
        (answered(9, 6, complete=None), None),
        (answered(9, 7, metronome_bpm=84), Need.CLOSE),
        (answered(9, 7, metronome_bpm=83), None),
        (answered(9, 7, metronome_bpm=109), Need.CLOSE),
        (answered(9, 7, metronome_bpm=110), None),
        (answered(9, 7, metronome_bpm=None), None),
        (answered(9, 6, metronome_bpm=84), None),
        (answered(9, 7), None),
        (answered(), None),
        (answered(9, 6, review_state="draft"), None),
    ],
)
def test_close_to_ready(facts, need):
    assert need_of(facts) == need


def student(**different) -> StudentFacts:
    facts = {"at": NOW, "may_record": True, "practising": True, "told": False, "since": NOW - 30 * DAY}
    return StudentFacts(**{**facts, "last_take_at": NOW - DAY, **different})


def test_a_student_at_work_needs_nobody():
    assert student_need(student()) is None


@pytest.mark.parametrize(
    ("different", "need"),
    [
        ({"last_take_at": NOW - 10 * DAY}, Need.SILENT),
        ({"last_take_at": NOW - 10 * DAY + SECOND}, None),
        ({"last_take_at": None}, Need.SILENT),
        ({"last_take_at": None, "since": NOW - 9 * DAY}, None),
        ({"last_take_at": NOW - 40 * DAY, "since": NOW - 9 * DAY}, None),
        ({"last_take_at": NOW - 10 * DAY, "practising": False}, None),
        ({"last_take_at": NOW - 10 * DAY, "told": True}, None),
    ],
)
def test_no_take_for_ten_days(different, need):
    assert student_need(student(**different)) == need


@pytest.mark.parametrize(
    ("different", "need"),
    [
        ({}, Need.AGREEMENT),
        ({"has_guardian": True}, Need.AGREEMENT),
        ({"has_guardian": True, "guardian_invited_at": NOW}, Need.AGREEMENT),
        ({"guardian_invited_at": NOW - 3 * DAY}, Need.INVITATION),
        ({"guardian_invited_at": NOW - 3 * DAY + SECOND}, None),
    ],
)
def test_no_agreement_yet(different, need):
    assert student_need(student(may_record=False, last_take_at=None, **different)) == need


@pytest.mark.parametrize(
    ("different", "need"),
    [
        ({"has_account": False, "student_invited_at": NOW - 3 * DAY}, Need.INVITATION),
        ({"has_account": False, "student_invited_at": NOW - 3 * DAY + SECOND}, None),
        ({"has_account": False}, None),
        ({"student_invited_at": NOW - 3 * DAY}, None),
    ],
)
def test_an_invitation_unanswered(different, need):
    assert student_need(student(**different)) == need
