"""The second factor as the studio's rule: nobody is locked out, and the gravest changes ask for it again."""

import time
from datetime import timedelta

import pytest
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal.auth import TOTP
from django.core.management import CommandError, call_command
from django.test import Client
from django.utils import timezone

from studio.models import Event, Guardianship, Role, Studio, User
from tests.conftest import PASSWORD
from tests.mails import delivered
from tests.signed_in import note_sign_in
from tests.studio.test_account import code_for

SECRET = "JBSWY3DPEHPK3PXP"
pytestmark = pytest.mark.django_db


def give_factor(user) -> None:
    TOTP.activate(user, SECRET)


@pytest.fixture
def required(studio):
    Studio.objects.update(second_factor_required=True)


class TestRequired:
    def test_who_has_none_is_led_to_it_and_goes_on_once_it_is_there(self, required, teacher, as_user):
        browser = as_user(teacher)
        assert browser.get("/reviews/").url == "/accounts/2fa/totp/activate/"
        page = browser.get("/accounts/2fa/totp/activate/", follow=True)
        assert page.status_code == 200
        assert "asks its staff for a second factor" in page.text
        for free in ("/account/", "/privacy/", "/account/sign-ins/"):
            assert browser.get(free).status_code == 200
        refused = browser.post("/questions/1/", {"answer": "Sing."})
        assert refused.status_code == 403
        assert "Set it up in another window" in refused.text
        give_factor(teacher)
        assert browser.get("/reviews/").status_code == 200
        Authenticator.objects.filter(user=teacher).delete()
        assert browser.get("/reviews/").status_code == 302

    def test_families_are_not_asked(self, required, student, guardian, as_user):
        assert as_user(guardian).get("/children/").status_code == 200

    def test_whoever_asks_it_of_others_has_one(self, studio, director, as_user):
        asked = {
            "name": "S",
            "time_zone": "UTC",
            "ready_percent": 70,
            "tuning_a_hz": 440,
            "practice_days": 30,
        }
        asked["second_factor_required"] = "on"
        page = as_user(director).post("/studio/", asked)
        assert "your own second factor first" in page.text
        give_factor(director)
        assert as_user(director).post("/studio/", asked).status_code == 302
        assert Studio.objects.get().second_factor_required

    def test_a_lost_phone_is_helped_by_a_director(self, required, director, teacher, as_user):
        give_factor(teacher)
        give_factor(director)
        theirs, browser = as_user(teacher), as_user(director)
        assert theirs.get("/reviews/").status_code == 200
        note_sign_in(browser, director, method="mfa")
        browser.post(f"/people/{teacher.pk}/second-factor/end/")
        assert not Authenticator.objects.filter(user=teacher).exists()
        assert "/accounts/login/" in theirs.get("/reviews/").url
        assert [mail.to for mail in delivered()] == [[teacher.email]]
        assert Event.objects.filter(kind=Event.Kind.FACTOR_ENDED, about_number=teacher.pk).exists()

    def test_the_last_directors_lost_phone_by_a_command(self, director):
        give_factor(director)
        call_command("forget_second_factor", director.email)
        assert not Authenticator.objects.filter(user=director).exists()
        with pytest.raises(CommandError):
            call_command("forget_second_factor", director.email)


class TestAskedAgain:
    @pytest.fixture
    def stale(self, director, as_user):
        """Signed in by password, half an hour ago."""
        browser = as_user(director)
        session = browser.session
        session["account_authentication_methods"] = [{"method": "password", "at": time.time() - 1800}]
        session.save()
        return browser

    def test_by_the_password_and_the_wish_is_not_lost(self, stale, student):
        tie = student.guardianships.get()
        asked = stale.post(f"/students/guardians/{tie.pk}/end/")
        assert asked.url.startswith("/accounts/reauthenticate/")
        assert Guardianship.objects.filter(pk=tie.pk).exists()
        stale.post(asked.url, {"password": "wrong"})
        assert Guardianship.objects.filter(pk=tie.pk).exists()
        stale.post(asked.url, {"password": PASSWORD})
        assert not Guardianship.objects.filter(pk=tie.pk).exists()

    def test_by_the_second_factor_where_there_is_one(self, director, teacher, as_user):
        give_factor(director)
        browser = as_user(director)
        asked = browser.post(f"/people/roles/{teacher.roles.get().pk}/end/")
        assert asked.url.startswith("/accounts/2fa/reauthenticate/")
        assert "show once more that it is you" in browser.get(asked.url).text
        assert teacher.roles.filter(role=Role.TEACHER).exists()
        browser.post(asked.url, {"code": code_for(SECRET)})
        assert not teacher.roles.filter(role=Role.TEACHER).exists()
        ended = Event.objects.get(kind=Event.Kind.ROLE_ENDED)
        assert ended.by_number == director.pk

    @pytest.mark.parametrize(
        "address",
        [
            "/people/invite/",
            "/people/{person}/close/",
            "/students/{student}/invite/",
            "/students/{student}/erase/",
        ],
    )
    def test_every_page_that_changes_who_gets_in(self, stale, student, teacher, address):
        answer = stale.post(address.format(person=teacher.pk, student=student.pk), {"who": "guardian"})
        assert answer.url.startswith("/accounts/reauthenticate/")


class TestSignIns:
    AGENT = "Mozilla/5.0 (iPhone; CPU iPhone OS 17_0 like Mac OS X) Version/17.0 Mobile/15E148 Safari/604.1"

    def signed_in(self, user, agent: str = AGENT) -> Client:
        browser = Client(headers={"user-agent": agent})
        browser.post("/accounts/login/", {"login": user.email, "password": PASSWORD})
        return browser

    def test_each_is_listed_and_ended_alone(self, teacher, other_teacher):
        here, phone = self.signed_in(teacher, "Firefox Linux"), self.signed_in(teacher)
        foreign = self.signed_in(other_teacher)
        page = here.get("/account/sign-ins/")
        assert [each.device for each in page.context["page"]] == ["Firefox, Linux", "Safari, iPhone"]
        this, other = page.context["page"]
        assert this.is_this
        here.post("/account/sign-ins/end/", {"mark": other.mark})
        assert "/accounts/login/" in phone.get("/account/").url
        foreign_mark = foreign.get("/account/sign-ins/").context["page"][0].mark
        here.post("/account/sign-ins/end/", {"mark": foreign_mark})
        assert foreign.get("/account/").status_code == 200

    def test_all_others_at_once(self, teacher, other_teacher):
        here, others = self.signed_in(teacher), [self.signed_in(teacher) for _ in range(2)]
        foreign = self.signed_in(other_teacher)
        assert "2 other devices" in here.post("/account/sign-ins/end/", follow=True).text
        assert ["/accounts/login/" in other.get("/account/").url for other in others] == [True, True]
        assert here.get("/account/").status_code == foreign.get("/account/").status_code == 200


def test_staff_are_mailed_of_a_device_not_used_before(director, guardian):
    """Not on a first evening, not on a device that is known, and families not at all."""
    browser, agent = Client(headers={"user-agent": "Firefox Windows"}), "/accounts/login/"
    signing_in = {"login": director.email, "password": PASSWORD}
    browser.post(agent, signing_in)
    User.objects.update(joined_at=timezone.now() - timedelta(days=3))
    browser.post("/accounts/logout/")
    browser.post(agent, signing_in)
    Client().post(agent, {"login": guardian.email, "password": PASSWORD})
    assert not delivered()
    Client(headers={"user-agent": "Firefox Windows"}).post(agent, signing_in)
    [mail] = delivered()
    assert mail.to == [director.email]
    assert "Firefox, Windows" in mail.body
    assert "/account/sign-ins/" in mail.body


class TestSecrets:
    def test_they_lie_sealed(self, director):
        give_factor(director)
        RecoveryCodes.activate(director)
        codes = Authenticator.objects.get(type="recovery_codes").wrap().get_unused_codes()
        stored = str(list(Authenticator.objects.values_list("data", flat=True)))
        assert SECRET not in stored
        assert Authenticator.objects.get(type="recovery_codes").wrap().get_unused_codes() == codes
        assert Authenticator.objects.get(type="totp").wrap().validate_code(code_for(SECRET))

    def test_one_from_before_still_opens(self, director):
        Authenticator.objects.create(user=director, type="totp", data={"secret": SECRET})
        assert Authenticator.objects.get().wrap().validate_code(code_for(SECRET))

    def test_with_another_key_none_opens_and_no_page_breaks(self, director, settings, client):
        give_factor(director)
        settings.SECRET_KEY = "another key of this studio, as long as it has to be"
        client.post("/accounts/login/", {"login": director.email, "password": PASSWORD})
        page = client.post("/accounts/2fa/authenticate/", {"code": code_for(SECRET)})
        assert page.status_code == 200
        assert client.get("/account/").status_code == 302
