import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from studio.models import CalendarFeed


@pytest.fixture
def people(director, teacher, student, student_user, guardian):
    """One of each role, by role; None is the anonymous visitor."""
    return {
        "director": director,
        "teacher": teacher,
        "student": student_user,
        "guardian": guardian,
        "anonymous": None,
    }


@pytest.fixture
def statuses(people, as_user):
    """`statuses(url)` gives each role's status for a request; a redirect to signing in reads "sign in"."""

    def ask(url: str, *, method: str = "get") -> dict:
        return {role: _status(getattr(as_user(user), method)(url)) for role, user in people.items()}

    return ask


def _status(response):
    if response.status_code == 302 and response.url.startswith("/accounts/login/"):
        return "sign in"
    return response.status_code


@pytest.fixture
def queries_of():
    """`queries_of(browser, url)` counts the queries one page takes."""

    def count(browser, url: str) -> int:
        browser.get(url)  # the first visit also writes the session's own rows
        with CaptureQueriesContext(connection) as caught:
            assert browser.get(url).status_code == 200
        return len(caught)

    return count


@pytest.fixture
def feed_of(client):
    """`feed_of(user)`: what a calendar gets at this person's address, signed in nowhere."""

    def asked(user):
        return client.get(reverse("calendar_feed", args=[CalendarFeed.renew(user)]))

    return asked
