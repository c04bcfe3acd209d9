from datetime import timedelta

import pytest
from allauth.account.models import EmailAddress
from django.utils import timezone

from studio.models import Guardianship, Invitation, Role, Student, User
from tests.conftest import PASSWORD
from tests.mails import delivered

NEW = {"name": "Konrad Ried", "access": "password", "password": PASSWORD, "password_again": PASSWORD}


@pytest.fixture
def to_teach(director):
    return Invitation.issue(
        email="konrad@example.org", name="Konrad Ried", role="teacher", invited_by=director
    )


@pytest.fixture
def new_student(teacher):
    return Student.objects.create(
        name="Lene Moorbach", email="lene@example.org", instrument="flute", level="junior", teacher=teacher
    )


def link(token: str) -> str:
    return f"/invitation/{token}/"


def test_the_link_opens_without_an_account(to_teach, client):
    page = client.get(link(to_teach[1]))
    assert page.status_code == 200
    assert "invites you as a teacher" in page.text
    assert "konrad@example.org" in page.text


def test_an_account_with_a_password(to_teach, client):
    response = client.post(link(to_teach[1]), NEW)
    assert response.url == "/"
    user = User.objects.get(email="konrad@example.org")
    assert user.check_password(PASSWORD)
    assert user.role_names == {"teacher"}
    assert EmailAddress.objects.get(user=user).verified
    assert client.get("/").url == "/reviews/"


def test_an_account_with_mailed_codes(to_teach, client):
    client.post(link(to_teach[1]), {"name": "Konrad Ried", "access": "code"})
    user = User.objects.get(email="konrad@example.org")
    assert not user.has_usable_password()
    client.logout()
    client.post("/accounts/login/code/", {"email": user.email})
    code = delivered()[-1].body.split("\n\n")[1].strip()
    client.post("/accounts/login/code/confirm/", {"code": code})
    assert client.get("/").url == "/reviews/"


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"password": "", "password_again": ""}, "password"),
        ({"password": "short", "password_again": "short"}, "password"),
        ({"password_again": "something-else-7"}, "password_again"),
        ({"name": ""}, "name"),
        ({"access": "telepathy"}, "access"),
    ],
)
def test_bad_input_leaves_the_link_open(to_teach, client, change, field):
    page = client.post(link(to_teach[1]), {**NEW, **change})
    assert field in page.context["form"].errors
    assert Invitation.objects.open().exists()
    assert not User.objects.filter(email="konrad@example.org").exists()


def test_the_link_works_once(to_teach, client, as_user):
    client.post(link(to_teach[1]), NEW)
    again = as_user(None).post(link(to_teach[1]), {**NEW, "name": "Somebody Else"})
    assert again.status_code == 410
    assert "used already" in again.text
    assert User.objects.filter(email="konrad@example.org").count() == 1


def test_the_link_runs_out(to_teach, client):
    Invitation.objects.update(expires_at=timezone.now() - timedelta(seconds=1))
    page = client.post(link(to_teach[1]), NEW)
    assert page.status_code == 410
    assert "has run out" in page.text
    assert not User.objects.filter(email="konrad@example.org").exists()


def test_it_lasts_as_long_as_the_setting_says(director, settings):
    settings.INVITATION_DAYS = 3
    invitation, _ = Invitation.issue(email="a@example.org", name="A", role="teacher", invited_by=director)
    assert invitation.is_open(at=timezone.now() + timedelta(days=2, hours=23))
    assert not invitation.is_open(at=timezone.now() + timedelta(days=3, minutes=1))


def test_a_withdrawn_link_says_so(to_teach, client):
    to_teach[0].withdraw()
    page = client.get(link(to_teach[1]))
    assert page.status_code == 410
    assert "was withdrawn" in page.text


def test_an_unknown_link_is_not_found(studio, client):
    assert client.get(link("guess")).status_code == 404


def test_a_student_is_tied_to_the_account(director, new_student, client):
    _, token = Invitation.issue(
        email="lene@example.org", name="Lene", role="student", invited_by=director, student=new_student
    )
    client.post(link(token), {**NEW, "name": new_student.name})
    new_student.refresh_from_db()
    assert new_student.user.email == "lene@example.org"
    assert client.get("/").url == "/my-music/"


def test_a_guardian_is_tied_to_the_child(director, new_student, client):
    _, token = Invitation.issue(
        email="mo@example.org", name="guardian", role="guardian", invited_by=director, student=new_student
    )
    assert "guardian of Lene Moorbach" in client.get(link(token)).text
    client.post(link(token), {**NEW, "name": "Mo Moorbach"})
    assert Guardianship.objects.get().student == new_student
    assert client.get("/children/").context["page"][0] == new_student


def test_an_account_that_exists_signs_in_first_and_gets_the_role(director, teacher, as_user, new_student):
    _, token = Invitation.issue(
        email=teacher.email, name="guardian", role="guardian", invited_by=director, student=new_student
    )
    anonymous = as_user(None).get(link(token))
    assert "You already have an account" in anonymous.text
    assert f"/accounts/login/?next={link(token)}" in anonymous.text
    assert as_user(None).post(link(token), NEW).status_code == 200
    assert User.objects.filter(email=teacher.email).count() == 1
    browser = as_user(teacher)
    assert "You are signed in as" in browser.get(link(token)).text
    browser.post(link(token))
    assert User.objects.get(pk=teacher.pk).role_names == {"teacher", "guardian"}
    assert browser.post(link(token)).status_code == 410


def test_somebody_else_signed_in_gets_nothing(to_teach, guardian, as_user):
    page = as_user(guardian).post(link(to_teach[1]))
    assert page.status_code == 403
    assert "for somebody else" in page.text
    assert guardian.role_names == {Role.GUARDIAN}
    assert Invitation.objects.open().exists()


def test_a_student_tied_meanwhile_keeps_the_first_account(director, student, teacher, as_user):
    invitation, token = Invitation.issue(
        email=teacher.email, name="X", role="student", invited_by=director, student=student
    )
    page = as_user(teacher).post(link(token), follow=True)
    assert "Another account already belongs" in page.text
    student.refresh_from_db()
    assert student.user.name == student.name
    invitation.refresh_from_db()
    assert invitation.is_open()


def test_two_at_once_make_one_account(to_teach, client):
    invitation, _ = to_teach
    assert invitation.claim()
    assert not Invitation.objects.get(pk=invitation.pk).claim()
