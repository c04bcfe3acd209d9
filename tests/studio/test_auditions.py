from datetime import UTC, datetime, timedelta

import pytest

from studio.models import Audition, Entry, Season, Student
from tests.studio.test_seasons import DIRECTOR_ONLY, STAFF_ONLY

GOOD = {
    "name": "City orchestra",
    "kind": "live",
    "held_on": "2031-03-20",
    "closes_at": "2031-03-10T18:00",
    "notes": "Bring a pencil.",
}


@pytest.fixture
def season(studio):
    return Season.objects.create(name="Rounds to come", starts_on="2026-01-01", ends_on="2031-12-31")


def test_who_sees_and_who_changes(statuses, season, audition):
    assert statuses(f"/auditions/{audition.pk}/") == STAFF_ONLY
    assert statuses(f"/auditions/{audition.pk}/edit/") == DIRECTOR_ONLY
    assert statuses(f"/seasons/{season.pk}/auditions/new/") == DIRECTOR_ONLY


def test_the_closing_time_is_typed_and_shown_in_the_studios_zone(director, season, as_user):
    browser = as_user(director)
    browser.post(f"/seasons/{season.pk}/auditions/new/", GOOD)
    audition = Audition.objects.get()
    # Vienna is one hour ahead of UTC in March before the clocks change.
    assert audition.closes_at == datetime(2031, 3, 10, 17, 0, tzinfo=UTC)
    page = browser.get(f"/auditions/{audition.pk}/").text
    assert "10 Mar 2031, 18:00" in page
    assert "Europe/Vienna" in page
    form = browser.get(f"/auditions/{audition.pk}/edit/").text
    assert 'value="2031-03-10T18:00"' in form
    assert "Time in Europe/Vienna." in form


def test_another_zone_reads_the_same_digits_as_another_moment(director, studio, season, as_user):
    studio.time_zone = "America/Chicago"
    studio.save()
    as_user(director).post(f"/seasons/{season.pk}/auditions/new/", GOOD)
    assert Audition.objects.get().closes_at == datetime(2031, 3, 10, 23, 0, tzinfo=UTC)


def test_an_hour_the_clocks_skip_is_refused(director, season, as_user):
    skipped = {**GOOD, "closes_at": "2031-03-30T02:30"}
    page = as_user(director).post(f"/seasons/{season.pk}/auditions/new/", skipped)
    assert "closes_at" in page.context["form"].errors
    assert not Audition.objects.exists()


@pytest.mark.parametrize("moment", ["0001-01-01T00:00", "9999-12-31T23:59"])
def test_a_year_nobody_meant_is_asked_about(director, season, as_user, moment):
    data = {**GOOD, "closes_at": moment, "held_on": moment[:10]}
    page = as_user(director).post(f"/seasons/{season.pk}/auditions/new/", data)
    assert page.context["form"].errors == {
        name: ["Please check the year."] for name in ("held_on", "closes_at")
    }
    data = {"name": "N", "starts_on": moment[:10], "ends_on": moment[:10], "keep_takes_days": 180}
    page = as_user(director).post("/seasons/new/", data)
    assert set(page.context["form"].errors) == {"starts_on", "ends_on"}


def test_a_closing_time_before_a_deadline_is_refused(director, audition, requirement, as_user):
    early = requirement.due_at - timedelta(days=1)
    data = {**GOOD, "closes_at": early.strftime("%Y-%m-%dT%H:%M")}
    page = as_user(director).post(f"/auditions/{audition.pk}/edit/", data)
    assert "internal deadline" in page.context["form"].errors["closes_at"][0]


def test_missing_fields_are_shown_and_what_was_typed_stays(director, season, as_user):
    page = as_user(director).post(f"/seasons/{season.pk}/auditions/new/", {**GOOD, "held_on": ""})
    assert set(page.context["form"].errors) == {"held_on"}
    assert "Bring a pencil." in page.text


def test_the_same_audition_sent_twice_is_one(director, season, as_user):
    for _ in range(2):
        page = as_user(director).post(f"/seasons/{season.pk}/auditions/new/", GOOD)
    assert "already an audition" in page.context["form"].errors["name"][0]
    assert Audition.objects.count() == 1


def test_entries_without_a_requirement_are_pointed_out(director, audition, entry, requirement, as_user):
    url = f"/auditions/{audition.pk}/"
    assert "nothing is required yet" not in as_user(director).get(url).text
    Entry.objects.update(level="Senior")
    assert "nothing is required yet for: Violin, Senior." in as_user(director).get(url).text


def test_a_teacher_sees_only_own_students_entries(teacher, director, audition, entry, other_student, as_user):
    Entry.objects.create(student=other_student, audition=audition, instrument="violin", level="senior")
    url = f"/auditions/{audition.pk}/"
    assert [row.student_id for row in as_user(teacher).get(url).context["entries"]] == [entry.student_id]
    assert len(as_user(director).get(url).context["entries"]) == 2
    assert other_student.name not in as_user(teacher).get(url).text


def test_the_queries_do_not_grow(director, teacher, audition, entry, requirement, as_user, queries_of):
    browser, url = as_user(director), f"/auditions/{audition.pk}/"
    before = queries_of(browser, url)
    for number in range(8):
        pupil = Student.objects.create(
            name=f"Pupil {number}", instrument="violin", level="senior", teacher=teacher, is_minor=False
        )
        Entry.objects.create(student=pupil, audition=audition, instrument="violin", level="senior")
        requirement.pk = None
        requirement.save()
    assert queries_of(browser, url) == before
