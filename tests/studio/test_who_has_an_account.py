"""Nobody learns from a page, its work or a dead mail server whether an address has an account."""

import re

import pytest
from django.core import mail
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.conftest import PASSWORD
from tests.running import free_port

KNOWN, UNKNOWN = "anselm@example.org", "nobody@example.org"
CODE, CONFIRM, RESET = "/accounts/login/code/", "/accounts/login/code/confirm/", "/accounts/password/reset/"
SIGN_IN = "/accounts/login/"


def asked(address: str, path: str, sent: dict | None, *, before: str = "") -> tuple[list[str], int, str]:
    """What a page asks of the database, without the values; its status; where it leads."""
    client = Client()
    client.get(SIGN_IN)
    if before:
        client.post(before, {"email": address})
    with CaptureQueriesContext(connection) as caught:
        page = client.get(path) if sent is None else client.post(path, sent)
    queries = [shape(query["sql"]) for query in caught.captured_queries]
    return queries, page.status_code, page.headers.get("Location", "")


def shape(sql: str) -> str:
    without_values = re.sub(r"'(?:[^']|'')*'|\b\d+\b|%s|NULL", "?", sql)
    return re.sub(r"\"s\w+_x\d+\"", "savepoint", re.sub(r"`?\"?s\d+_x\d+\"?`?", "savepoint", without_values))


@pytest.fixture
def dead_server(settings):
    """A mail server that takes no connection."""
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT, settings.EMAIL_TIMEOUT = "127.0.0.1", free_port(), 2


@pytest.mark.parametrize(
    ("path", "sent", "before"),
    [
        (CODE, {"email": "{}"}, ""),
        (CONFIRM, None, CODE),
        (CONFIRM, {"code": "WRONG-1"}, CODE),
        (RESET, {"email": "{}"}, ""),
        (SIGN_IN, {"login": "{}", "password": "not this one"}, ""),
    ],
    ids=["code", "asked for the code", "wrong code", "reset", "wrong password"],
)
def test_a_page_does_the_same_for_any_address(teacher, path, sent, before):
    def of(address: str):
        filled = sent and {name: value.format(address) for name, value in sent.items()}
        return asked(address, path, filled, before=before)

    assert teacher.email == KNOWN
    assert of(KNOWN) == of(UNKNOWN)


def test_also_where_the_address_was_confirmed(teacher):
    from allauth.account.models import EmailAddress

    EmailAddress.objects.create(user=teacher, email=KNOWN, primary=True, verified=True)
    for path in (CODE, RESET):
        assert asked(KNOWN, path, {"email": KNOWN}) == asked(UNKNOWN, path, {"email": UNKNOWN})
    wrong = {"password": "not this one"}
    assert asked(KNOWN, SIGN_IN, {"login": KNOWN, **wrong}) == asked(
        UNKNOWN, SIGN_IN, {"login": UNKNOWN, **wrong}
    )


def test_also_where_a_password_is_refused_and_its_person_told(teacher):
    wrong = {"password": "not this one"}
    for _ in range(5):
        Client().post(SIGN_IN, {"login": KNOWN, **wrong})
        Client().post(SIGN_IN, {"login": UNKNOWN, **wrong})
    assert asked(KNOWN, SIGN_IN, {"login": KNOWN, **wrong}) == asked(
        UNKNOWN, SIGN_IN, {"login": UNKNOWN, **wrong}
    )


@pytest.mark.parametrize("path", [CODE, RESET])
@pytest.mark.parametrize("address", [KNOWN, UNKNOWN])
def test_a_dead_mail_server_is_no_error_page(
    teacher, dead_server, path, address, django_capture_on_commit_callbacks
):
    client = Client(raise_request_exception=False)
    with django_capture_on_commit_callbacks(execute=True):
        page = client.post(path, {"email": address})
    assert page.status_code == 302
    assert client.get(page.url).status_code == 200


def test_an_invitation_is_kept_with_a_dead_mail_server(director, dead_server, as_user):
    sent = {"name": "Konrad Ried", "email": "konrad@example.org", "role": "teacher"}
    page = as_user(director).post("/people/invite/", sent, follow=True)
    assert "The invitation is on its way." in page.text
    assert "konrad@example.org" in page.text


def test_no_mail_leaves_with_the_page_itself(teacher, client):
    client.post(CODE, {"email": KNOWN})
    client.post(RESET, {"email": KNOWN})
    assert not mail.outbox


def test_a_code_still_opens_and_a_guess_at_nobodys_does_not(teacher, client):
    client.post(CODE, {"email": UNKNOWN})
    for _ in range(2):
        assert client.post(CONFIRM, {"code": "ABCDEF"}).status_code == 200
    assert client.get("/account/").status_code == 302
    assert Client().login(email=KNOWN, password=PASSWORD)
