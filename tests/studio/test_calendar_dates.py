"""The calendar feed: whose dates it holds, and at which times."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import icalendar
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from repertoire.models import Excerpt
from studio.models import Audition, Clinic, Entry, Requirement, Role, Student
from studio.services.calendar_events import events_for
from tests.conftest import make_person, make_student

pytestmark = pytest.mark.django_db
VIENNA = ZoneInfo("Europe/Vienna")


@pytest.fixture
def dates(feed_of):
    """`dates(user)`: the events read back by the library, by what they are called."""

    def read(user) -> dict[str, icalendar.Event]:
        calendar = icalendar.Calendar.from_ical(feed_of(user).content)
        return {str(event["summary"]): event for event in calendar.events}

    return read


@pytest.fixture
def clinic(excerpt, teacher, student, audition):
    clinic = Clinic.objects.create(
        excerpt=excerpt, leader=teacher, held_at=audition.closes_at - timedelta(days=20), place="Room 2"
    )
    clinic.acceptances.create(student=student)
    return clinic


@pytest.fixture
def other_music(audition, excerpt, rubric, other_student):
    """What only the other family has: its own music, deadline and clinic."""
    music = Excerpt.objects.get(pk=excerpt.pk)
    music.pk, music.title, music.instrument = None, "Cellar Study", "cello"
    music.save(force_insert=True)
    Entry.objects.create(student=other_student, audition=audition, instrument="cello", level="senior")
    clinic = Clinic.objects.create(
        excerpt=music, leader=other_student.teacher, held_at=audition.closes_at, place="Room 9"
    )
    clinic.acceptances.create(student=other_student)
    return ask_for(audition, music, rubric)


def ask_for(audition, excerpt, rubric, **fields) -> Requirement:
    tempo = {"marked_bpm": 96, "low_bpm": 88, "high_bpm": 104}
    due = {"due_at": audition.closes_at - timedelta(days=10)}
    return Requirement.objects.create(
        audition=audition,
        instrument=excerpt.instrument,
        level="senior",
        excerpt=excerpt,
        rubric=rubric,
        **tempo | due | fields,
    )


class TestWhoseDates:
    def test_a_student_has_deadlines_closing_times_and_accepted_clinics(
        self, dates, student_user, entry, requirement, clinic, other_music
    ):
        held = dates(student_user)
        assert set(held) == {
            "Hand in: Lamp Etude",
            "Closing time: Youth orchestra",
            "Clinic: Lamp Etude",
        }
        assert held["Hand in: Lamp Etude"].start == requirement.due_at.replace(microsecond=0)
        assert held["Closing time: Youth orchestra"].start == entry.audition.closes_at.replace(microsecond=0)
        assert held["Clinic: Lamp Etude"].start == clinic.held_at.replace(microsecond=0)
        assert held["Clinic: Lamp Etude"]["location"] == "Room 2"
        address = f"/entries/{entry.pk}/requirements/{requirement.pk}/"
        assert held["Hand in: Lamp Etude"]["url"].endswith(address)

    def test_a_guardian_has_the_childs_with_the_first_name(
        self, feed_of, dates, guardian, entry, requirement, clinic, other_music
    ):
        assert set(dates(guardian)) == {
            "Mira: Hand in: Lamp Etude",
            "Mira: Closing time: Youth orchestra",
            "Mira: Clinic: Lamp Etude",
        }
        content = feed_of(guardian).text
        assert "Tannhof" not in content
        assert "Cellar" not in content
        assert "Jonas" not in content

    def test_two_children_stand_apart(self, dates, guardian, teacher, entry, requirement):
        sister = make_student(make_person("Lena Tannhof", Role.STUDENT), teacher, guardian)
        Entry.objects.create(student=sister, audition=entry.audition, instrument="violin", level="senior")
        assert {"Mira: Hand in: Lamp Etude", "Lena: Hand in: Lamp Etude"} <= set(dates(guardian))

    def test_a_teacher_has_one_date_a_requirement_and_the_clinics_led(
        self, feed_of, dates, teacher, guardian, entry, requirement, clinic, other_music
    ):
        sister = make_student(make_person("Lena Tannhof", Role.STUDENT), teacher, guardian)
        Entry.objects.create(student=sister, audition=entry.audition, instrument="violin", level="senior")
        held = dates(teacher)
        assert set(held) == {"Takes due: Lamp Etude", "Clinic: Lamp Etude"}
        told = held["Takes due: Lamp Etude"]["description"]
        assert told.startswith("2 of your students play it for Youth orchestra.")
        content = feed_of(teacher).text
        assert not [name for name in ("Mira", "Lena", "Tannhof") if name in content]

    def test_the_other_teacher_has_nothing_of_it(self, dates, other_teacher, entry, requirement, clinic):
        assert dates(other_teacher) == {}

    def test_a_director_has_auditions_and_all_clinics(
        self, feed_of, dates, director, entry, requirement, clinic, other_music
    ):
        assert set(dates(director)) == {
            "Closing time: Youth orchestra",
            "Clinic: Lamp Etude",
            "Clinic: Cellar Study",
        }
        assert "Mira" not in feed_of(director).text

    def test_a_live_audition_has_its_day(self, dates, student_user, entry):
        day = entry.audition.held_on
        Audition.objects.update(kind=Audition.Kind.LIVE)
        held = dates(student_user)["Audition: Youth orchestra"]
        assert type(held.start) is date
        assert held.start == day

    def test_a_person_of_two_roles_has_each_date_once(self, feed_of, director, clinic):
        director.grant(Role.TEACHER)
        Clinic.objects.update(leader=director)
        assert feed_of(director).text.count("SUMMARY:Clinic: Lamp Etude") == 1

    def test_same_music_is_told_apart_by_its_bars(self, dates, student_user, entry, requirement, rubric):
        ask_for(entry.audition, requirement.excerpt, rubric, from_bar="2", to_bar="3")
        assert {"Hand in: Lamp Etude", "Hand in: Lamp Etude, bars 2-3"} <= set(dates(student_user))

    def test_a_clinic_not_accepted_or_no_longer_inviting_is_not_there(
        self, dates, student_user, student, entry, requirement, clinic
    ):
        clinic.acceptances.all().delete()
        assert "Clinic: Lamp Etude" not in dates(student_user)
        clinic.acceptances.create(student=student)
        assert "Clinic: Lamp Etude" in dates(student_user)
        Clinic.objects.update(for_all=False)
        assert "Clinic: Lamp Etude" not in dates(student_user)
        clinic.students.add(student)
        assert "Clinic: Lamp Etude" in dates(student_user)

    def test_a_guardian_no_longer_tied_reads_nothing(self, dates, guardian, entry, requirement):
        guardian.guardianships.all().delete()
        assert dates(guardian) == {}

    def test_what_is_long_over_is_left_out(self, dates, student_user, entry, requirement, clinic):
        long_ago = timezone.now() - timedelta(days=61)
        Audition.objects.update(closes_at=long_ago, held_on=long_ago.date())
        Clinic.objects.update(held_at=long_ago)
        assert dates(student_user) == {}

    def test_line_breaks_in_a_title_make_no_second_event(self, feed_of, student_user, entry, requirement):
        title = "Lamp\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nSUMMARY:Invented"
        type(requirement.excerpt).objects.update(title=title)
        calendar = icalendar.Calendar.from_ical(feed_of(student_user).content)
        assert len(calendar.events) == 2


@pytest.mark.parametrize(
    ("name", "first"), [("Mira Tannhof", "Mira"), ("Tannhof, Mira Sofie", "Mira"), ("Mira", "Mira"), ("", "")]
)
def test_first_names(name, first):
    assert Student(name=name).first_name == first


class TestTimes:
    @pytest.mark.parametrize(
        ("local", "in_utc"),
        [
            (datetime(2026, 10, 24, 18, 0, tzinfo=VIENNA), "20261024T160000Z"),
            (datetime(2026, 10, 25, 18, 0, tzinfo=VIENNA), "20261025T170000Z"),
            # The hour that comes twice, and the evening before and after the lost one.
            (datetime(2026, 10, 25, 2, 30, tzinfo=VIENNA), "20261025T003000Z"),
            (datetime(2026, 10, 25, 2, 30, fold=1, tzinfo=VIENNA), "20261025T013000Z"),
            (datetime(2027, 3, 27, 18, 0, tzinfo=VIENNA), "20270327T170000Z"),
            (datetime(2027, 3, 28, 18, 0, tzinfo=VIENNA), "20270328T160000Z"),
        ],
    )
    def test_right_on_both_sides_of_a_clock_change(
        self, feed_of, dates, student_user, entry, requirement, local, in_utc
    ):
        Audition.objects.update(closes_at=datetime(2027, 6, 1, tzinfo=UTC))
        Requirement.objects.update(due_at=local.astimezone(UTC))
        assert f"DTSTART:{in_utc}\r\n" in feed_of(student_user).content.decode()
        shown = dates(student_user)["Hand in: Lamp Etude"].start.astimezone(VIENNA)
        assert (shown.date(), shown.hour, shown.minute) == (local.date(), local.hour, local.minute)

    def test_a_moved_deadline_keeps_its_uid_and_is_the_newer_one(
        self, dates, student_user, entry, requirement, monkeypatch
    ):
        before = dates(student_user)["Hand in: Lamp Etude"]
        Requirement.objects.update(due_at=requirement.due_at + timedelta(days=2))
        later = timezone.now() + timedelta(hours=6)
        monkeypatch.setattr("studio.views.calendar.timezone.now", lambda: later)
        after = dates(student_user)["Hand in: Lamp Etude"]
        assert after["uid"] == before["uid"]
        assert after.start - before.start == timedelta(days=2)
        assert after.stamp > before.stamp

    def test_uids_are_the_same_after_renewal_and_all_different(
        self, feed_of, student_user, entry, requirement, clinic
    ):
        first, second = (icalendar.Calendar.from_ical(feed_of(student_user).content).events for _ in range(2))
        uids = [str(event["uid"]) for event in first]
        assert len(set(uids)) == len(uids) == 3
        assert [str(event["uid"]) for event in second] == uids


def test_as_many_queries_for_many_dates_as_for_few(
    director, teacher, guardian, entry, requirement, clinic, rubric
):
    director.grant(Role.TEACHER, Role.GUARDIAN)
    Student.objects.update(teacher=director)
    guardian.guardianships.update(guardian=director)
    few, events = counted(director)
    for number in range(8):
        child = make_student(make_person(f"Child{number} Tannhof", Role.STUDENT), director, director)
        audition = Audition.objects.create(
            season=entry.audition.season,
            name=f"Orchestra {number}",
            held_on=entry.audition.held_on,
            closes_at=entry.audition.closes_at,
        )
        Entry.objects.create(student=child, audition=audition, instrument="violin", level="senior")
        ask_for(audition, requirement.excerpt, rubric)
        clinic.acceptances.create(student=child)
    many, more_events = counted(director)
    assert more_events >= events + 4 * 8
    assert many == few <= 9


def counted(user) -> tuple[int, int]:
    fresh = type(user).objects.get(pk=user.pk)
    with CaptureQueriesContext(connection) as caught:
        events = events_for(fresh, timezone.now())
    return len(caught), len(events)
