"""More time for one student: one definition, obeyed by everything that closes, reminds, tells or counts."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse
from django.utils import timezone

from recordings.models import Take
from recordings.readiness.checklist import standings_of
from recordings.readiness.kept import count_states
from recordings.readiness.rows import cell_for
from recordings.readiness.rules import State
from recordings.readiness.week import matters_for
from recordings.takes.deadlines import remind
from studio.models import Audition, Entry, Event, Requirement, Season
from studio.services.calendar_events import events_for
from studio.services.more_time import give, take_back
from tests.mails import delivered

VIENNA = ZoneInfo("Europe/Vienna")
DAY = timedelta(days=1)


@pytest.fixture
def closed(audition, entry, requirement):
    """Closed yesterday; the deadline was a week before."""
    audition.closes_at, audition.held_on = timezone.now() - DAY, timezone.localdate() + 20 * DAY
    audition.save()
    requirement.due_at = timezone.now() - 8 * DAY
    requirement.save()
    Entry.objects.update(made_at=timezone.now() - 30 * DAY)


@pytest.fixture
def until():
    return timezone.now() + 3 * DAY


@pytest.fixture
def more_time(closed, entry, director, until):
    give([entry], until=until, reason="a broken string", by=director)
    entry.refresh_from_db()
    return entry


def hand_in_form(browser, entry, requirement, wav):
    with wav.open("rb") as sound:
        address = reverse("take_upload", args=[entry.pk, requirement.pk])
        return browser.post(address, {"sound": sound})


def test_what_is_closed_takes_nothing_in_either_way(
    closed, sender, as_user, student_user, entry, requirement, wav
):
    assert "closed on" in sender.begin().text
    hand_in_form(as_user(student_user), entry, requirement, wav)
    assert not Take.objects.exists()


def test_pieces_arrive_in_more_time(more_time, sender):
    assert sender.send_all().status_code == 204
    assert Take.objects.get().entry == more_time


def test_the_plain_form_arrives_in_more_time(more_time, as_user, student_user, requirement, wav):
    hand_in_form(as_user(student_user), more_time, requirement, wav)
    assert Take.objects.get().entry == more_time


def test_when_more_time_is_over_it_is_closed(more_time, entry):
    assert not entry.is_closed()
    assert entry.is_closed(entry.extended_until + timedelta(seconds=1))
    assert not Entry.objects.open(entry.extended_until + timedelta(seconds=1)).exists()


def test_readiness_this_week_and_the_checklist_obey(more_time, requirement, audition, director):
    [standing] = standings_of([Audition.objects.get()])
    assert standing.next_step is not None
    cell = cell_for(more_time, requirement)
    assert (cell.state, cell.days_left, cell.due_at) == (State.NOTHING_YET, 3, more_time.extended_until)
    assert count_states(Entry.objects.all())[State.NOTHING_YET] == 1
    assert [matter.need.value for matter in matters_for(director)] == ["due"]
    take_back(more_time)
    assert count_states(Entry.objects.all())[State.OVERDUE] == 1
    [standing] = standings_of([Audition.objects.get()])
    assert standing.next_step is None
    assert matters_for(director) == []


def test_student_and_guardian_read_one_sentence(more_time, as_user, student_user, guardian, requirement):
    cell = reverse("requirement_takes", args=[more_time.pk, requirement.pk])
    for address in ("/my-music/", cell):
        assert "You have more time for Youth orchestra: until" in as_user(student_user).get(address).text
    assert "Mira has more time for Youth orchestra: until" in as_user(guardian).get(cell).text
    assert "broken string" not in as_user(student_user).get(cell).text


def test_the_calendar_names_the_own_dates(more_time, student_user, until):
    starts = {event.key: event.starts for event in events_for(student_user, timezone.now())}
    assert list(starts.values()) == [until, until]


def test_mails_follow_the_own_deadline(entry, requirement, audition, director, student_user, guardian):
    due = datetime(2027, 3, 23, 18, 0, tzinfo=VIENNA)
    Season.objects.update(starts_on="2027-01-10", ends_on="2027-06-30")
    Audition.objects.update(closes_at=due + DAY, held_on="2027-04-20")
    Requirement.objects.update(due_at=due)
    Entry.objects.update(made_at=datetime(2027, 2, 1, 12, tzinfo=VIENNA))
    # Into summer time: still seven and two days of the calendar.
    give([entry], until=datetime(2027, 3, 30, 18, 0, tzinfo=VIENNA), reason="ill", by=director)
    told = [day for day in range(10, 32) if remind(datetime(2027, 3, day, 16, 7, tzinfo=VIENNA))]
    assert told == [23, 28]
    assert "30 March 2027" in delivered()[0].body or "30 Mar" in delivered()[0].body


def test_a_director_gives_it_to_a_group_and_takes_it_back(
    closed, as_user, director, entry, other_student, audition, until
):
    cello = Entry.objects.create(student=other_student, audition=audition, instrument="cello", level="senior")
    browser, address = as_user(director), reverse("more_time", args=[audition.pk])
    local = timezone.localtime(until, VIENNA).strftime("%Y-%m-%dT%H:%M")
    asked = {"who": "violin/senior", "until": local, "reason": "strings broke"}
    assert "1 student has more time." in browser.post(address, asked, follow=True).text
    entry.refresh_from_db(), cello.refresh_from_db()
    assert (entry.extension_reason, entry.extended_by) == ("strings broke", director)
    assert cello.extended_until is None
    given = Event.objects.get(kind=Event.Kind.MORE_TIME)
    assert (given.about, given.about_number, given.by_number) == ("entry", entry.pk, director.pk)
    assert "strings broke" in browser.get(address).text
    browser.post(reverse("more_time_end", args=[entry.pk]))
    entry.refresh_from_db()
    assert (entry.extended_until, entry.extension_reason) == (None, "")
    assert Event.objects.filter(kind=Event.Kind.NO_MORE_TIME, about_number=entry.pk).count() == 1


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"reason": ""}, "This field is required"),
        ({"until": "2020-01-01T10:00"}, "This time has passed already."),
        ({"until": "2034-01-01T10:00"}, "This is after the audition itself"),
        ({"who": "99"}, "Select a valid choice"),
    ],
)
def test_what_is_wrong_is_said_at_its_field(typed, said, closed, as_user, director, audition, until):
    local = timezone.localtime(until, VIENNA).strftime("%Y-%m-%dT%H:%M")
    asked = {"who": "all", "until": local, "reason": "ill", **typed}
    page = as_user(director).post(reverse("more_time", args=[audition.pk]), asked)
    assert said in page.text
    assert not Entry.objects.filter(extended_until__isnull=False).exists()


@pytest.mark.parametrize("person", ["teacher", "student_user", "guardian"])
def test_the_known_but_not_allowed(person, as_user, request, closed, audition, entry):
    browser = as_user(request.getfixturevalue(person))
    assert browser.get(reverse("more_time", args=[audition.pk])).status_code == 403
    assert browser.post(reverse("more_time_end", args=[entry.pk])).status_code == 403
