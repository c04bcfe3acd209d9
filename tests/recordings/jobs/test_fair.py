"""Whose take is measured next: nobody's many keep another's first one waiting."""

from datetime import timedelta

import pytest
from django.utils import timezone

from recordings.jobs import run, turns
from recordings.models import Analysis
from studio.models import Audition, Entry
from tests.recordings.conftest import finish, plain_take
from tests.recordings.jobs.test_run import FakeAnalysis


@pytest.fixture
def worked(monkeypatch):
    """The takes that reached the measuring, in their order, by the name of their sound."""
    order: list[int] = []

    def started(analysis, take, _worker):
        order.append(take.pk)
        finish(take)

    monkeypatch.setattr(run, "_run", started)
    return order


@pytest.fixture
def other_entry(other_student, audition):
    return Entry.objects.create(student=other_student, audition=audition, instrument="violin", level="senior")


def takes(entry, requirement, count, *, first):
    """`count` takes handed in from `first` minutes ago on, a second apart."""
    made = []
    for n in range(count):
        take = plain_take(entry, requirement, sha256=f"{first:032}{n:032}")
        put_in = timezone.now() - timedelta(minutes=first) + timedelta(seconds=n)
        Analysis.objects.filter(take=take).update(created_at=put_in)
        made.append(take)
    return made


def all_messages():
    """The workers' messages as they were sent: one a take, in the order of handing in."""
    for pk in list(Analysis.objects.order_by("created_at").values_list("pk", flat=True)):
        run.measure(pk)


def test_twenty_takes_do_not_go_before_another_students_first(entry, other_entry, requirement, worked):
    many = takes(entry, requirement, 20, first=30)
    (one,) = takes(other_entry, requirement, 1, first=1)
    all_messages()
    assert worked.index(one.pk) == 1
    assert [pk for pk in worked if pk != one.pk] == [take.pk for take in many]


def test_who_was_measured_a_while_ago_waits_behind_who_was_not(entry, other_entry, requirement, worked):
    for take in takes(entry, requirement, 3, first=30):
        finish(take)
    (late,) = takes(entry, requirement, 1, first=20)
    fresh = takes(other_entry, requirement, 2, first=1)
    all_messages()
    assert worked == [fresh[0].pk, fresh[1].pk, late.pk]


def test_of_first_takes_the_one_whose_audition_closes_today_goes_first(
    entry, other_student, season, requirement, worked
):
    soon = timezone.now() + timedelta(hours=3)
    closing = Audition.objects.create(season=season, name="Closing", held_on=soon.date(), closes_at=soon)
    today = Entry.objects.create(student=other_student, audition=closing, instrument="violin", level="senior")
    (earlier,) = takes(entry, requirement, 1, first=10)
    (urgent,) = takes(today, requirement, 1, first=1)
    all_messages()
    assert worked == [urgent.pk, earlier.pk]


def test_a_message_whose_take_is_measured_serves_the_next_that_waits(entry, requirement, worked):
    done, waiting = takes(entry, requirement, 2, first=5)
    finish(done)
    run.measure(done.analysis.pk)
    assert worked == [waiting.pk]


def test_what_is_being_measured_is_left_alone(entry, requirement, monkeypatch):
    (take,) = takes(entry, requirement, 1, first=5)
    assert take.analysis.claim_for("one")
    fake = FakeAnalysis()
    monkeypatch.setattr("recordings.analysis.process.in_child.analyse_file_in_child", fake)
    assert not run.measure(take.analysis.pk)
    assert not fake.calls


def test_the_page_counts_those_that_really_go_before(entry, other_entry, requirement):
    many = takes(entry, requirement, 4, first=30)
    (one,) = takes(other_entry, requirement, 1, first=1)
    assert turns.before(one.analysis) == 1
    assert turns.before(many[0].analysis) == 0
    assert turns.before(many[3].analysis) == 4
