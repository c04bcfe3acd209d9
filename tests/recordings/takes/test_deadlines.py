"""Reminders of deadlines: whom, when by the studio's clock, and never twice."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse

from recordings.models import Analysis
from recordings.takes.deadlines import remind
from studio.models import Audition, Entry, Notice, Requirement, Season
from tests.mails import delivered
from tests.recordings.conftest import plain_take

VIENNA = ZoneInfo("Europe/Vienna")
DUE = datetime(2027, 3, 30, 18, 0, tzinfo=VIENNA)  # two days after the clocks went forward


@pytest.fixture(autouse=True)
def spring(season, audition, entry, requirement):
    Season.objects.update(starts_on="2027-01-10", ends_on="2027-06-30")
    Audition.objects.update(closes_at=DUE + timedelta(days=5), held_on="2027-04-20")
    Requirement.objects.update(due_at=DUE)
    Entry.objects.update(made_at=datetime(2027, 2, 1, 12, tzinfo=VIENNA))


def on(day: int, hour: int = 16, minute: int = 7, month: int = 3) -> datetime:
    return datetime(2027, month, day, hour, minute, tzinfo=VIENNA)


def receivers() -> list[str]:
    return sorted(message.to[0] for message in delivered())


def test_student_and_guardian_are_reminded_a_week_and_two_days_ahead_and_on_no_other_day(
    student_user, guardian
):
    told = {}
    for day in range(18, 32):
        if sent := sum(remind(on(day, hour)) for hour in range(24)):
            told[day] = sent
    assert told == {23: 2, 28: 2}  # the 28th is the day of 23 hours
    assert receivers() == sorted([student_user.email, guardian.email] * 2)


def test_a_second_run_the_same_day_sends_nothing(entry, requirement):
    assert remind(on(23)) == 2
    assert remind(on(23)) == 0
    assert remind(on(23, 17)) == 0
    assert Notice.objects.filter(kind=Notice.Kind.DEADLINE).count() == 2


def test_the_hour_is_the_studios(studio):
    assert remind(on(23, 15, 59)) == 0
    assert remind(on(23, 20, 0)) == 0
    studio.time_zone = "Asia/Tokyo"
    studio.save()
    assert remind(datetime(2027, 3, 23, 16, 7, tzinfo=VIENNA)) == 0  # after midnight in Tokyo
    assert remind(datetime(2027, 3, 24, 16, 7, tzinfo=ZoneInfo("Asia/Tokyo"))) == 2


def test_a_day_on_which_nothing_ran_is_made_up_for_on_the_next():
    assert remind(on(24)) == 2
    assert "a deadline in 6 days" in delivered()[0].subject
    assert remind(on(25)) == 0
    assert remind(on(29)) == 2
    assert "a deadline tomorrow" in delivered()[-1].subject


def test_the_clock_going_back_in_autumn_neither_doubles_nor_leaves_out():
    """From three to two in the night of 31 October 2027: a day of 25 hours."""
    Season.objects.update(ends_on="2027-12-20")
    Audition.objects.update(closes_at=on(10, month=11))
    Requirement.objects.update(due_at=on(2, 18, 0, month=11))
    start = datetime(2027, 10, 24, tzinfo=ZoneInfo("UTC"))
    told = {hour: sent for hour in range(24 * 12) if (sent := remind(start + timedelta(hours=hour)))}
    days = [(start + timedelta(hours=hour)).astimezone(VIENNA) for hour in told]
    assert [(day.month, day.day, day.hour) for day in days] == [(10, 26, 16), (10, 31, 16)]


def test_who_has_handed_in_a_take_is_not_reminded_and_who_is_to_record_again_is(entry, requirement):
    take = plain_take(entry, requirement)
    assert remind(on(23)) == 0
    Analysis.objects.filter(take=take).update(unusable="silent")
    assert remind(on(23)) == 2


def test_pieces_due_at_the_same_time_come_in_one_mail(requirement):
    requirement.refresh_from_db()
    requirement.pk = None
    requirement.save()
    assert remind(on(23)) == 2
    assert "2 takes are due" in delivered()[0].body
    assert Notice.objects.count() == 4


def test_it_says_studio_deadline_and_where_and_nothing_of_the_music(entry, requirement, settings):
    remind(on(28))
    message = delivered()[0]
    assert message.subject == "Linden Studio: a deadline in 2 days"
    assert "Tuesday 30 March, 18:00 (Europe/Vienna)" in message.body
    assert reverse("requirement_takes", args=[entry.pk, requirement.pk]) in message.body
    assert "Lamp" not in message.body


def test_ended_seasons_withdrawn_entries_and_entries_of_today_are_left_alone(season, entry):
    Season.objects.update(ends_on="2027-03-22")
    assert remind(on(23)) == 0
    Season.objects.update(ends_on="2027-06-30")
    Entry.objects.update(made_at=on(23, 9))
    assert remind(on(23)) == 0
    entry.delete()
    assert remind(on(24)) == 0


def test_who_has_switched_it_off_hears_nothing(student_user, guardian):
    student_user.notices_off = [Notice.Kind.DEADLINE]
    student_user.save()
    assert remind(on(23)) == 1
    assert receivers() == [guardian.email]


def test_a_deadline_moved_to_another_day_is_reminded_of_anew():
    assert remind(on(23)) == 2
    Requirement.objects.update(due_at=DUE + timedelta(days=3))
    assert remind(on(23)) == 0
    assert remind(on(26)) == 2
