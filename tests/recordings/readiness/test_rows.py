from datetime import timedelta

import pytest
from django.utils import timezone

from recordings.models import Analysis, Mark, Review
from recordings.readiness.kept import count_states
from recordings.readiness.rows import cell_for, rows_for
from recordings.readiness.rules import State
from studio.models import Entry, Requirement, Student
from tests.recordings.conftest import finish, plain_take


def loaded(*entries: Entry) -> list[Entry]:
    return list(
        Entry.objects.filter(pk__in=[entry.pk for entry in entries]).select_related("student", "audition")
    )


def state_of(entry) -> State:
    return rows_for(loaded(entry))[0].cells[0].state


def answer(take, value: int, *, state=Review.State.RELEASED) -> Review:
    review = Review.objects.create(take=take, state=state)
    for caption in take.requirement.rubric.captions.all():
        Mark.objects.create(review=review, caption=caption, value=value)
    return review


def test_each_state_from_the_rows(entry, requirement):
    assert state_of(entry) == State.NOTHING_YET
    take = plain_take(entry, requirement)
    assert state_of(entry) == State.RECORDED
    finish(take)
    assert state_of(entry) == State.WAITING_FOR_REVIEW
    review = answer(take, 5)
    assert state_of(entry) == State.BACK_TO_WORK
    review.marks.update(value=8)
    assert state_of(entry) == State.READY


def test_overdue(entry, requirement):
    late = requirement.due_at + timedelta(days=1)
    cell = rows_for(loaded(entry), at=late)[0].cells[0]
    assert cell.state == State.OVERDUE
    assert cell.days_left == -1
    assert cell.days_late == 1


def test_a_draft_counts_for_nothing(entry, requirement):
    take = plain_take(entry, requirement)
    finish(take)
    answer(take, 10, state=Review.State.DRAFT)
    assert state_of(entry) == State.WAITING_FOR_REVIEW


def test_the_latest_take_counts_while_none_is_ready(entry, requirement):
    old = plain_take(entry, requirement, minutes_ago=60)
    finish(old)
    answer(old, 6)
    new = plain_take(entry, requirement, sha256="1" * 64)
    cell = rows_for(loaded(entry))[0].cells[0]
    assert cell.take == new
    assert cell.take_count == 2
    assert cell.state == State.RECORDED
    finish(new)
    assert "An earlier take already has a review." in rows_for(loaded(entry))[0].cells[0].readiness.reasons


@pytest.mark.parametrize("facts", [{"complete": False}, {"metronome_bpm": 130.0}, {"metronome_bpm": None}])
def test_what_was_measured_counts(entry, requirement, facts):
    take = plain_take(entry, requirement)
    finish(take, **facts)
    answer(take, 9)
    assert state_of(entry) == State.BACK_TO_WORK


def test_the_threshold_is_the_studios(entry, requirement, studio):
    take = plain_take(entry, requirement)
    finish(take)
    answer(take, 6)
    studio.ready_percent = 60
    studio.save()
    assert state_of(entry) == State.READY


def test_only_requirements_of_the_entrys_instrument_and_level(entry, requirement):
    for changed in ({"level": "junior"}, {"instrument": "viola"}):
        Requirement.objects.filter(pk=requirement.pk).update(**changed)
        assert rows_for(loaded(entry))[0].cells == ()
        Requirement.objects.filter(pk=requirement.pk).update(level="senior", instrument="violin")


def test_cells_come_in_the_order_of_their_deadlines(entry, requirement):
    requirement.pk, requirement.due_at = None, requirement.due_at - timedelta(days=3)
    requirement.save()
    days = [cell.days_left for cell in rows_for(loaded(entry))[0].cells]
    assert days == sorted(days)


def test_one_cell_is_the_same_as_in_the_table(entry, requirement):
    take = plain_take(entry, requirement)
    finish(take)
    now = timezone.now()
    assert (
        cell_for(entry, requirement, at=now).readiness
        == rows_for(loaded(entry), at=now)[0].cells[0].readiness
    )


def test_states_are_counted(entry, requirement):
    counted = count_states(Entry.objects.all())
    assert counted[State.NOTHING_YET] == 1
    assert sum(counted.values()) == 1
    assert list(counted) == list(State)


def test_a_take_without_an_analysis_row_is_only_recorded(entry, requirement):
    take = plain_take(entry, requirement)
    Analysis.objects.filter(take=take).delete()
    assert state_of(entry) == State.RECORDED


def crowd(count: int, audition, requirement, teacher) -> list[Entry]:
    """Entries with two takes each, the earlier one answered."""
    entries = []
    for number in range(count):
        student = Student.objects.create(
            name=f"Student {number}", instrument="violin", level="senior", teacher=teacher, is_minor=False
        )
        entry = Entry.objects.create(student=student, audition=audition, instrument="violin", level="senior")
        old = plain_take(entry, requirement, minutes_ago=90)
        finish(old)
        answer(old, 8)
        finish(plain_take(entry, requirement, sha256="1" * 64))
        entries.append(entry)
    return entries


@pytest.mark.parametrize("count", [3, 12])
def test_the_number_of_queries_does_not_grow(
    count, audition, requirement, teacher, django_assert_num_queries
):
    entries = loaded(*crowd(count, audition, requirement, teacher))
    with django_assert_num_queries(5):
        rows = rows_for(entries)
    assert len(rows) == count
