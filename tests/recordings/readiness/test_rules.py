from dataclasses import replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest

from recordings.readiness import rules
from recordings.readiness.rules import CellFacts, MarkFacts, Readiness, State

CLOSES = datetime(2031, 3, 10, 18, 0, tzinfo=UTC)
DUE = CLOSES - timedelta(days=7)
BEFORE_DUE = DUE - timedelta(days=5)

EMPTY = CellFacts(at=BEFORE_DUE, due_at=DUE, closes_at=CLOSES, low_bpm=88, high_bpm=104, ready_percent=70)
RECORDED = replace(EMPTY, take_uploaded_at=BEFORE_DUE - timedelta(hours=2), analysis_state="waiting")
MEASURED = replace(RECORDED, analysis_state="done", complete=True, metronome_bpm=96.0)
READY = replace(
    MEASURED,
    review_state="released",
    marks=(
        MarkFacts("Tone", Decimal("7"), Decimal("10")),
        MarkFacts("Intonation", Decimal("9"), Decimal("10")),
    ),
)


def readiness(facts: CellFacts) -> Readiness:
    """Judged with its reasons, and the state alone is the same."""
    answer = rules.readiness(facts)
    assert rules.state_of(facts) is answer.state
    return answer


def state_of(facts: CellFacts) -> State:
    return readiness(facts).state


def test_nothing_yet_before_the_deadline():
    answer = readiness(EMPTY)
    assert answer.state is State.NOTHING_YET
    assert answer.reasons == ("No take is in yet.",)


def test_nothing_handed_in_by_the_deadline_is_overdue():
    assert state_of(replace(EMPTY, at=DUE)) is State.NOTHING_YET
    answer = readiness(replace(EMPTY, at=DUE + timedelta(seconds=1)))
    assert answer.state is State.OVERDUE
    assert "deadline has passed" in answer.reasons[0]


def test_who_is_entered_after_the_deadline_is_not_late_on_that_day():
    late = replace(EMPTY, at=DUE + timedelta(seconds=1), entered_today=True)
    assert state_of(late) is State.NOTHING_YET
    assert state_of(replace(late, at=CLOSES + timedelta(seconds=1))) is State.OVERDUE


def test_nothing_handed_in_by_the_closing_time_says_so():
    answer = readiness(replace(EMPTY, at=CLOSES + timedelta(seconds=1)))
    assert answer.state is State.OVERDUE
    assert "audition has closed" in answer.reasons[0]


@pytest.mark.parametrize("state", ["waiting", "running", None])
def test_recorded_while_being_measured(state):
    answer = readiness(replace(RECORDED, analysis_state=state))
    assert answer.state is State.RECORDED
    assert "being measured" in answer.reasons[0]


@pytest.mark.parametrize("review", [None, "draft"])
def test_measured_waits_for_review(review):
    assert state_of(replace(MEASURED, review_state=review)) is State.WAITING_FOR_REVIEW


def test_a_take_that_cannot_be_measured_waits_for_the_ear():
    answer = readiness(replace(RECORDED, analysis_state="failed"))
    assert answer.state is State.WAITING_FOR_REVIEW
    assert "teacher's ear" in answer.reasons[0]


def test_a_withdrawn_review_waits_again():
    answer = readiness(replace(READY, review_state="withdrawn"))
    assert answer.state is State.WAITING_FOR_REVIEW
    assert "withdrawn" in answer.reasons[0]


def test_a_newer_take_waits_though_an_older_one_has_a_review():
    answer = readiness(replace(MEASURED, older_review_released=True))
    assert answer.state is State.WAITING_FOR_REVIEW
    assert answer.reasons[-1] == "An earlier take already has a review."


def test_waiting_for_the_teacher_is_not_the_students_lateness():
    assert state_of(replace(MEASURED, at=DUE + timedelta(days=1))) is State.WAITING_FOR_REVIEW


def test_waiting_past_the_closing_time_is_overdue():
    answer = readiness(replace(MEASURED, at=CLOSES + timedelta(seconds=1)))
    assert answer.state is State.OVERDUE
    assert answer.reasons[0] == "The audition has closed."


def test_ready():
    answer = readiness(READY)
    assert answer.state is State.READY
    assert len(answer.reasons) == 1


def test_ready_stays_ready_after_the_closing_time():
    assert state_of(replace(READY, at=CLOSES + timedelta(days=30))) is State.READY


def test_a_mark_just_at_the_threshold_is_enough_and_just_below_is_not():
    at = replace(READY, marks=(MarkFacts("Tone", Decimal("7.0"), Decimal("10")),))
    below = replace(READY, marks=(MarkFacts("Tone", Decimal("6.9"), Decimal("10")),))
    assert state_of(at) is State.READY
    answer = readiness(below)
    assert answer.state is State.BACK_TO_WORK
    assert answer.reasons == ("Tone is at 6.9; 7 or more counts as ready.",)


def test_the_threshold_is_the_studios():
    assert state_of(replace(READY, ready_percent=71)) is State.BACK_TO_WORK


def test_every_caption_counts_and_each_low_one_is_named():
    marks = (MarkFacts("Tone", 5, 10), MarkFacts("Rhythm", 8, 10), MarkFacts("Intonation", 6, 10))
    reasons = readiness(replace(READY, marks=marks)).reasons
    assert [reason.split()[0] for reason in reasons] == ["Tone", "Intonation"]


def test_a_caption_left_open_is_not_ready():
    answer = readiness(replace(READY, marks=(*READY.marks, MarkFacts("Musicality", None, 10))))
    assert answer.state is State.BACK_TO_WORK
    assert answer.reasons == ("Musicality is not marked.",)


def test_a_review_without_marks_is_not_ready():
    assert readiness(replace(READY, marks=())).reasons == ("The review carries no marks.",)


def test_an_incomplete_take_is_not_ready():
    answer = readiness(replace(READY, complete=False))
    assert answer.state is State.BACK_TO_WORK
    assert answer.reasons == ("The take is not complete.",)


def test_unknown_completeness_is_not_taken_for_complete():
    assert "could not be measured" in readiness(replace(READY, complete=None)).reasons[0]


@pytest.mark.parametrize("bpm", [88.0, 104.0])
def test_the_edges_of_the_tempo_range_are_inside(bpm):
    assert state_of(replace(READY, metronome_bpm=bpm)) is State.READY


@pytest.mark.parametrize("bpm", [87.9, 104.1])
def test_a_tempo_outside_the_range_is_not_ready(bpm):
    answer = readiness(replace(READY, metronome_bpm=bpm))
    assert answer.state is State.BACK_TO_WORK
    assert answer.reasons == (f"The tempo is {bpm} a minute; 88 to 104 is fine.",)


def test_an_unknown_tempo_is_not_ready():
    assert readiness(replace(READY, metronome_bpm=None)).reasons == ("The tempo could not be measured.",)


def test_a_take_handed_in_after_the_closing_time_is_not_ready():
    late = replace(READY, take_uploaded_at=CLOSES + timedelta(minutes=1), at=CLOSES + timedelta(days=1))
    answer = readiness(late)
    assert answer.state is State.OVERDUE
    assert answer.reasons[-1] == "The take came in after the audition had closed."


def test_a_take_handed_in_at_the_closing_time_counts():
    assert state_of(replace(READY, take_uploaded_at=CLOSES, at=CLOSES)) is State.READY


def test_back_to_work_after_the_internal_deadline_mentions_it():
    answer = readiness(replace(READY, complete=False, at=DUE + timedelta(days=1)))
    assert answer.state is State.BACK_TO_WORK
    assert answer.reasons[-1] == "The internal deadline has passed."


def test_not_ready_when_the_audition_closes_is_overdue_with_every_reason():
    answer = readiness(replace(READY, complete=False, metronome_bpm=60, at=CLOSES + timedelta(days=1)))
    assert answer.state is State.OVERDUE
    assert len(answer.reasons) == 3


def test_a_recording_nobody_can_judge_is_no_take():
    answer = readiness(replace(EMPTY, record_again=True))
    assert answer.state is State.BACK_TO_WORK
    assert "record again" in answer.reasons[0]
    assert state_of(replace(EMPTY, record_again=True, at=DUE + timedelta(seconds=1))) is State.OVERDUE
    assert state_of(replace(EMPTY, record_again=True, at=CLOSES + timedelta(seconds=1))) is State.OVERDUE
