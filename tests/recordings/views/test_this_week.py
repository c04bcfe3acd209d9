from datetime import timedelta

import pytest
from django.core import mail
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from studio.models import Consent, Entry, Guardianship, Invitation, Requirement
from tests.recordings.readiness.test_rows import crowd

URL = "/this-week/"


def words(response) -> str:
    return response.content.decode()


@pytest.fixture
def overdue(requirement):
    Requirement.objects.update(due_at=timezone.now() - timedelta(days=1))
    Entry.objects.update(made_at=timezone.now() - timedelta(days=3))
    return requirement


def late_crowd(count: int, audition, requirement, teacher) -> None:
    """Students entered days ago who never handed anything in."""
    for entry in crowd(count, audition, requirement, teacher):
        entry.takes.all().delete()
    Entry.objects.update(made_at=timezone.now() - timedelta(days=3))


def test_works(as_user, director, entry, overdue):
    page = words(as_user(director).get(URL))
    assert "Overdue, no take is in" in page
    assert "Mira Tannhof" in page
    assert f'action="/entries/{entry.pk}/requirements/{overdue.pk}/remind/"' in page
    assert f'href="/students/{entry.student_id}/"' in page


def test_nothing_to_do(as_user, director):
    assert "Nothing needs you just now." in words(as_user(director).get(URL))


def test_a_teacher_sees_the_own_students(as_user, teacher, other_teacher, entry, overdue):
    assert "Mira Tannhof" in words(as_user(teacher).get(URL))
    assert "Mira Tannhof" not in words(as_user(other_teacher).get(URL))


@pytest.mark.parametrize("person", ["student_user", "guardian"])
def test_the_known_but_not_allowed(request, as_user, person, entry):
    assert as_user(request.getfixturevalue(person)).get(URL).status_code == 403


def test_anonymous_and_only_for_reading(as_user, director):
    assert as_user(None).get(URL).status_code == 302
    assert as_user(director).post(URL).status_code == 405


def test_the_first_pages_of_staff_lead_here(as_user, director, teacher):
    assert f'href="{URL}"' in words(as_user(director).get("/", follow=True))
    assert f'href="{URL}"' in words(as_user(teacher).get("/", follow=True))


def test_one_kind_alone(as_user, director, entry, overdue):
    Consent.objects.get().withdraw()
    client = as_user(director)
    page = words(client.get(f"{URL}?need=agreement"))
    assert "A guardian has an account and has not agreed yet." in page
    assert "was due on" not in page
    for everything in ("", "?need=nonsense", "?need=close"):
        page = words(client.get(URL + everything))
        assert "A guardian has an account and has not agreed yet." in page
        assert "was due on" in page


def test_the_button_invites(as_user, director, entry, requirement, student):
    Consent.objects.get().withdraw()
    Guardianship.objects.all().delete()
    client = as_user(director)
    page = words(client.get(URL))
    assert f'action="/students/{student.pk}/invite/"' in page
    assert 'name="who" value="guardian"' in page
    assert not mail.outbox
    client.post(f"/students/{student.pk}/invite/", {"who": "guardian"})
    assert Invitation.objects.get().email == student.guardian_email
    assert "Nothing needs you just now." in words(client.get(URL))


def test_it_is_paged(as_user, director, audition, overdue, teacher, monkeypatch):
    monkeypatch.setattr("repertoire.paging.PAGE_SIZE", 2)
    late_crowd(3, audition, overdue, teacher)
    client = as_user(director)
    first, second = (words(client.get(f"{URL}?need=overdue&page={number}")) for number in (1, 2))
    assert "Student 1" in first
    assert "Student 2" not in first
    assert "need=overdue&amp;page=2" in first
    assert "Student 2" in second


def test_the_number_of_queries_does_not_grow(as_user, director, audition, overdue, teacher):
    client = as_user(director)
    counts = []
    for more in (3, 9):
        late_crowd(more, audition, overdue, teacher)
        with CaptureQueriesContext(connection) as queries:
            assert "Student 0" in words(client.get(URL))
        counts.append(len(queries))
    assert counts[0] == counts[1] < 15
