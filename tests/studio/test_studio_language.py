"""Mails to who chose no language come in the studio's, whatever the page of who caused them is in."""

import pytest
from django.utils import translation

from studio.models import Notice, Role, Studio, User
from studio.services.account_changes import tell_of_change
from studio.services.invitations import invite
from studio.services.notices import tell
from studio.services.wrong_passwords import tell_of_wrong_passwords
from tests.mails import delivered


def an_invitation(student, director) -> None:
    invite(email="nora@example.org", name="Nora Feld", role=Role.TEACHER, invited_by=director)


def an_answer(student, director) -> None:
    tell(Notice.Kind.ANSWER, student, about="1", path="/")


def wrong_passwords(student, director) -> None:
    tell_of_wrong_passwords(student.user.email)


def a_changed_password(student, director) -> None:
    tell_of_change("account/email/password_changed", student.user)


CAUSES = [an_invitation, an_answer, wrong_passwords, a_changed_password]


@pytest.mark.parametrize("cause", CAUSES)
@pytest.mark.parametrize(
    ("studio_language", "page", "german"), [("de", "en", True), ("en", "de", False), ("", "de", True)]
)
def test_a_mail_to_who_chose_none_is_in_the_studios(cause, studio_language, page, german, student, director):
    Studio.objects.update(language=studio_language)
    with translation.override(page):
        cause(student, director)
    said = delivered()[0]
    assert ("Hallo" in said.body or "Guten Tag" in said.body) == german, said.body


def test_who_chose_one_gets_it(student, director):
    Studio.objects.update(language="de")
    User.objects.filter(pk=student.user_id).update(language="en")
    wrong_passwords(student, director)
    invite(email=student.user.email, name=student.name, role=Role.TEACHER, invited_by=director)
    for mail in delivered():
        assert "Hallo" not in mail.body
        assert "Guten Tag" not in mail.body
        assert "Hello" in mail.body


def test_a_language_nobody_has_is_refused(director, as_user):
    page = as_user(director).post("/studio/", {"name": "Maple", "language": "xx"})
    assert "language" in page.context["form"].errors
