"""The record of events: what gets into it, that nothing leaves or changes, who may read it."""

from datetime import timedelta

import pytest
from django.db import DatabaseError, connection, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from studio.models import Consent, Event, Role
from studio.models.event import Unchangeable
from studio.services.access_ending import close_account
from studio.services.events import record
from studio.tasks import forget_events
from tests.conftest import PASSWORD

Kind = Event.Kind


def told(*kinds: str) -> list[tuple]:
    rows = Event.objects.filter(kind__in=kinds).order_by("pk")
    return list(rows.values_list("kind", "by_number", "about", "about_number"))


def sign_in(email: str, password: str = PASSWORD) -> Client:
    browser = Client()
    browser.post("/accounts/login/", {"login": email, "password": password})
    return browser


def test_staff_signing_in_and_every_failed_try(teacher, student_user):
    sign_in(teacher.email)
    sign_in(student_user.email)
    sign_in(teacher.email, "not this one")
    sign_in("nobody@example.org", "not this one")
    assert told(Kind.SIGNED_IN, Kind.SIGN_IN_FAILED) == [
        (Kind.SIGNED_IN, teacher.pk, "user", teacher.pk),
        (Kind.SIGN_IN_FAILED, None, "user", teacher.pk),
        (Kind.SIGN_IN_FAILED, None, "", None),
    ]


def test_people_invited_and_ended(director, teacher, as_user):
    browser = as_user(director)
    sent = {"email": "new@example.org", "name": "New Person", "role": "teacher"}
    assert browser.post(reverse("invite"), sent).status_code == 302
    grant = teacher.roles.get(role=Role.TEACHER)
    browser.post(reverse("role_end", args=[grant.pk]))
    browser.post(reverse("account_close", args=[teacher.pk]))
    assert [row[:2] for row in told(Kind.INVITED, Kind.ROLE_ENDED, Kind.ACCOUNT_CLOSED)] == [
        (Kind.INVITED, director.pk),
        (Kind.ROLE_ENDED, director.pk),
        (Kind.ACCOUNT_CLOSED, director.pk),
    ]


def test_an_agreement_given_and_withdrawn(student, guardian, as_user):
    as_user(guardian).post(reverse("consent_withdraw", args=[student.pk]), {"sure": "on"})
    assert told(Kind.CONSENT_GIVEN, Kind.CONSENT_WITHDRAWN) == [
        (Kind.CONSENT_GIVEN, None, "student", student.pk),
        (Kind.CONSENT_WITHDRAWN, guardian.pk, "student", student.pk),
    ]
    assert not Consent.objects.filter(withdrawn_at=None).exists()


def test_what_did_not_happen_is_not_told(director):
    """Told in the transaction of the thing itself."""
    with pytest.raises(RuntimeError), transaction.atomic():
        close_account_and_fail(director)
    assert not told(Kind.ACCOUNT_CLOSED)


def close_account_and_fail(director) -> None:
    other = type(director).objects.create_user(email="other@example.org", name="Other")
    close_account(other)
    raise RuntimeError


class TestNothingChanges:
    @pytest.fixture
    def event(self, director):
        return Event.objects.first()

    def test_by_the_model(self, event):
        with pytest.raises(Unchangeable):
            event.save()
        with pytest.raises(Unchangeable):
            event.delete()
        with pytest.raises(Unchangeable):
            Event.objects.all().delete()
        with pytest.raises(Unchangeable):
            Event.objects.update(kind="x")

    @pytest.mark.parametrize("order", ["UPDATE studio_event SET by_number = 7", "DELETE FROM studio_event"])
    def test_nor_by_the_database(self, event, order):
        with pytest.raises(DatabaseError, match="only added to"), transaction.atomic():
            connection.cursor().execute(order)

    def test_after_two_years_it_goes(self, event):
        Event.objects.create(kind=Kind.EXPORTED, at=timezone.now() - timedelta(days=731))
        Event.objects.create(kind=Kind.SETTINGS, at=timezone.now() - timedelta(days=729))
        forget_events()
        assert not told(Kind.EXPORTED)
        assert told(Kind.SETTINGS)


class TestThePage:
    def test_works_and_is_searched(self, director, teacher, as_user):
        sign_in(teacher.email)
        page = as_user(director).get(reverse("event_list"), {"kind": Kind.SIGNED_IN, "by": teacher.pk})
        assert page.text.count("<tr>") == 2
        assert teacher.name in page.text
        late = {"since": timezone.localdate() + timedelta(days=2)}
        assert "Nothing of this kind" in as_user(director).get(reverse("event_list"), late).text

    def test_in_pages_with_as_many_queries_for_many(self, director, as_user, queries_of):
        browser = as_user(director)
        few = queries_of(browser, reverse("event_list"))
        Event.objects.bulk_create(Event(kind=Kind.EXPORTED, by_number=director.pk) for _ in range(60))
        assert queries_of(browser, reverse("event_list")) == few
        assert "Page 1 of 3" in browser.get(reverse("event_list")).text

    @pytest.mark.parametrize("name", ["event_list", "event_export"])
    def test_for_directors_alone(self, name, teacher, guardian, as_user):
        for person in (teacher, guardian):
            assert as_user(person).get(reverse(name)).status_code == 403

    def test_as_a_table_without_names_and_that_is_told_too(self, director, teacher, as_user):
        sign_in(teacher.email)
        table = as_user(director).get(reverse("event_export"), {"kind": Kind.SIGNED_IN}).content.decode()
        assert table.splitlines()[0] == "\ufeffnumber,at,kind,by,about,about_number"
        assert f",signed in,{teacher.pk},user,{teacher.pk}" in table
        assert teacher.name not in table
        assert teacher.email not in table
        assert told(Kind.EXPORTED) == [(Kind.EXPORTED, director.pk, "", None)]

    def test_a_date_that_is_none_is_said_beside_it(self, director, as_user):
        page = as_user(director).get(reverse("event_list"), {"since": "yesterday"})
        assert page.status_code == 200
        assert "error" in page.text


def test_nothing_is_recorded_without_a_word_for_what_it_is_about(rubric):
    with pytest.raises(KeyError, match="rubric"):
        record(Kind.SETTINGS, rubric)
    assert Event(about="user").thing == "account"
