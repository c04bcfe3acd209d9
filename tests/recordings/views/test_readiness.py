from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from recordings.readiness import filters
from studio.models import Audition, Entry, Season
from tests.recordings.conftest import finish, plain_take
from tests.recordings.readiness.test_rows import crowd

URL = "/readiness/"


@pytest.fixture
def other_entry(other_student, audition):
    return Entry.objects.create(student=other_student, audition=audition, instrument="violin", level="senior")


def words(response) -> str:
    return response.content.decode()


def test_works(as_user, director, entry, other_entry, requirement):
    page = words(as_user(director).get(URL))
    assert "Mira Tannhof" in page
    assert "Jonas Eschwald" in page
    assert "Lamp Etude" in page
    assert "nothing yet" in page
    assert reverse("requirement_takes", args=[entry.pk, requirement.pk]) in page


def test_a_teacher_sees_the_own_students_only(as_user, teacher, entry, other_entry, requirement):
    page = words(as_user(teacher).get(URL))
    assert "Mira Tannhof" in page
    assert "Jonas Eschwald" not in page


def test_a_teacher_who_is_also_a_guardian_sees_the_child_elsewhere(
    as_user, teacher, entry, other_entry, requirement, other_student
):
    other_student.guardianships.create(guardian=teacher)
    assert "Jonas Eschwald" not in words(as_user(teacher).get(URL))


@pytest.mark.parametrize("person", ["student_user", "guardian"])
def test_the_known_but_not_allowed(request, as_user, person, entry):
    assert as_user(request.getfixturevalue(person)).get(URL).status_code == 403


def test_anonymous(as_user, db):
    assert as_user(None).get(URL).status_code == 302


def test_only_for_reading(as_user, director):
    assert as_user(director).post(URL).status_code == 405


def test_every_state_is_shown_in_words_and_shape(as_user, director, entry, requirement):
    page = words(as_user(director).get(URL))
    for state in ("nothing yet", "recorded", "waiting for review", "keep practising", "ready", "overdue"):
        assert state in page
    assert page.count("<svg") >= 7


@pytest.mark.parametrize(
    ("query", "seen"),
    [
        ("", True),
        ("?state=nothing_yet", True),
        ("?state=ready", False),
        ("?instrument=violin", True),
        ("?instrument=flute", False),
        ("?state=sleeping", True),
        ("?teacher=abc&audition=xyz&page=-3", True),
        ("?teacher=99999999999999999999999999", True),
    ],
)
def test_filters(as_user, director, entry, requirement, query, seen):
    page = words(as_user(director).get(URL + query))
    assert ("Mira Tannhof" in page) is seen


def test_filters_by_teacher_and_audition(
    as_user, director, entry, other_entry, requirement, teacher, audition
):
    page = words(as_user(director).get(f"{URL}?teacher={teacher.pk}&audition={audition.pk}"))
    assert "Mira Tannhof" in page
    assert "Jonas Eschwald" not in page


def test_what_is_asked_for_stays_chosen(
    as_user, director, entry, other_entry, requirement, teacher, audition
):
    asked = f"?teacher={teacher.pk}&audition={audition.pk}&instrument=flute&state=overdue"
    page = words(as_user(director).get(URL + asked))
    for value in (teacher.pk, audition.pk, "flute", "overdue"):
        assert f'<option value="{value}" selected>' in page


def test_a_teacher_is_offered_no_other_teachers(
    as_user, teacher, other_teacher, entry, other_entry, requirement
):
    page = words(as_user(teacher).get(f"{URL}?teacher={other_teacher.pk}"))
    assert "Mira Tannhof" in page
    assert other_teacher.name not in page


def test_a_past_season_is_shown_when_its_audition_is_chosen(as_user, director, entry, requirement, season):
    Season.objects.filter(pk=season.pk).update(ends_on=timezone.localdate() - timedelta(days=1))
    client = as_user(director)
    assert "Mira Tannhof" not in words(client.get(URL))
    audition = Audition.objects.get()
    assert "Mira Tannhof" in words(client.get(f"{URL}?audition={audition.pk}"))


def test_a_state_is_found_in_any_requirement(as_user, director, entry, requirement):
    finish(plain_take(entry, requirement))
    page = words(as_user(director).get(f"{URL}?state=waiting_for_review"))
    assert "Mira Tannhof" in page


def test_it_is_paged(as_user, director, audition, requirement, teacher, monkeypatch):
    monkeypatch.setattr("repertoire.paging.PAGE_SIZE", 2)
    crowd(3, audition, requirement, teacher)
    client = as_user(director)
    first, second = (
        words(client.get(f"{URL}?instrument=violin")),
        words(client.get(f"{URL}?instrument=violin&page=2")),
    )
    assert "Student 0" in first
    assert "Student 2" not in first
    assert "instrument=violin&amp;page=2" in first
    assert "Student 2" in second


def test_the_number_of_queries_does_not_grow(as_user, director, audition, requirement, teacher):
    client = as_user(director)
    counts = []
    for more in (3, 9):
        crowd(more, audition, requirement, teacher)
        with CaptureQueriesContext(connection) as queries:
            assert client.get(URL).status_code == 200
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_addresses_keep_the_other_filters(director, db):
    asked = {"instrument": "violin", "state": "ready"}
    chosen = filters.Filters(asked, user=director)
    assert chosen.address(state="overdue") == "instrument=violin&state=overdue"
