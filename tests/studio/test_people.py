import pytest
from django.utils import timezone

from studio.models import Invitation, Role
from tests.conftest import make_person
from tests.mails import delivered
from tests.studio.test_seasons import DIRECTOR_ONLY

GOOD = {"name": "Konrad Ried", "email": "Konrad@example.org", "role": "teacher"}


def test_who_sees(statuses):
    assert statuses("/people/") == DIRECTOR_ONLY
    assert statuses("/people/invite/") == DIRECTOR_ONLY


def test_staff_are_listed_with_their_roles_and_families_are_not(director, teacher, guardian, as_user):
    director.grant(Role.TEACHER)
    page = as_user(director).get("/people/")
    assert [person.name for person in page.context["staff"]] == [teacher.name, director.name]
    assert guardian.email not in page.text


def test_an_invitation_goes_out_with_a_link_of_the_sites_address(director, as_user, settings):
    settings.SITE_ADDRESS = "https://hear.example"
    response = as_user(director).post("/people/invite/", GOOD)
    assert response.url == "/people/"
    [message] = delivered()
    assert message.to == ["konrad@example.org"]
    assert message.subject == "Your invitation to Linden Studio"
    assert "https://hear.example/invitation/" in message.body
    assert "as teacher" in message.body
    assert "Europe/Vienna" in message.body


def test_the_link_is_not_kept(director, as_user):
    as_user(director).post("/people/invite/", GOOD)
    token = delivered()[0].body.split("/invitation/")[1].split("/")[0]
    assert token not in str(Invitation.objects.values().get())


@pytest.mark.parametrize("change", [{"email": "nonsense"}, {"role": "student"}, {"name": ""}])
def test_bad_input(director, as_user, change):
    page = as_user(director).post("/people/invite/", {**GOOD, **change})
    assert list(page.context["form"].errors) == list(change)
    assert not delivered()


def test_nobody_is_invited_to_a_role_they_have(director, teacher, as_user):
    page = as_user(director).post("/people/invite/", {**GOOD, "email": teacher.email.upper()})
    assert "already has that role" in page.context["form"].errors["email"][0]


def test_withdrawing(director, teacher, as_user):
    as_user(director).post("/people/invite/", GOOD)
    invitation = Invitation.objects.get()
    url = f"/people/invitations/{invitation.pk}/withdraw/"
    assert as_user(director).get(url).status_code == 405
    assert as_user(teacher).post(url).status_code == 403
    as_user(director).post(url)
    invitation.refresh_from_db()
    assert not invitation.is_open()
    assert as_user(director).post(url).status_code == 404


def test_the_queries_do_not_grow(director, as_user, queries_of):
    before = queries_of(as_user(director), "/people/")
    for number in range(6):
        make_person(f"T{number} Kamp", Role.TEACHER)
        Invitation.issue(email=f"n{number}@example.org", name="N", role="teacher", invited_by=director)
    # One query more: with rows to show, a page of invitations is fetched at all.
    assert queries_of(as_user(director), "/people/") <= before + 1
    assert Invitation.objects.open(timezone.now()).count() == 6


def test_without_a_mail_server_the_director_is_shown_where_mail_lies(director, as_user, settings):
    sent = {**GOOD, "email": "first@example.org"}
    assert "folder “mail”" in as_user(director).post("/people/invite/", sent, follow=True).text
    settings.EMAIL_HOST = "mail.example.org"
    sent = {**GOOD, "email": "second@example.org"}
    page = as_user(director).post("/people/invite/", sent, follow=True)
    assert "The invitation is on its way." in page.text
    assert "folder “mail”" not in page.text
