"""The first director's account comes from the command line."""

import pytest
from django.core.management import CommandError, call_command

from studio.management.commands import add_director
from studio.models import Studio, User

pytestmark = pytest.mark.django_db
GOOD = "lamp-and-paper-42"


@pytest.fixture
def typed(monkeypatch):
    def types(*answers: str) -> None:
        waiting = list(answers)
        monkeypatch.setattr(add_director, "getpass", lambda prompt: waiting.pop(0))

    return types


def test_saves_the_person_and_the_studio(typed, client):
    typed(GOOD, GOOD)
    call_command("add_director", "Dorothea Quill", "Quill@Example.org", studio="Linden Studio")
    director = User.objects.get(email="quill@example.org")
    assert director.is_director
    assert director.check_password(GOOD)
    assert Studio.current().name == "Linden Studio"
    client.post("/accounts/login/", {"login": "quill@example.org", "password": GOOD})
    assert client.session["_auth_user_id"] == str(director.pk)


@pytest.mark.parametrize(
    ("mail", "answers", "reason"),
    [
        ("a@example.org", (GOOD, "another"), "differ"),
        ("a@example.org", ("short", "short"), "too short"),
        ("nobody", (GOOD, GOOD), "valid email address"),
    ],
)
def test_refuses_with_a_sentence(typed, mail, answers, reason):
    typed(*answers)
    with pytest.raises(CommandError, match=reason):
        call_command("add_director", "Ann", mail)
    assert not User.objects.exists()


def test_refuses_a_second_account(typed, director):
    with pytest.raises(CommandError, match="already an account"):
        call_command("add_director", "Ann", director.email)
