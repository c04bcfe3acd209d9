import pytest
from allauth.mfa.adapter import get_adapter
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal.auth import TOTP, format_hotp_value, hotp_value, yield_hotp_counters_from_time

from tests.conftest import PASSWORD
from tests.mails import delivered

SECOND_FACTOR = [
    "/accounts/2fa/",
    "/accounts/2fa/totp/activate/",
    "/accounts/2fa/totp/deactivate/",
    "/accounts/2fa/recovery-codes/",
    "/accounts/2fa/recovery-codes/generate/",
    "/accounts/2fa/recovery-codes/download/",
]


def sign_in(client, user, password=PASSWORD):
    return client.post("/accounts/login/", {"login": user.email, "password": password})


def code_for(secret: str) -> str:
    counter = next(iter(yield_hotp_counters_from_time()))
    return format_hotp_value(hotp_value(secret, counter))


class TestAccountPage:
    def test_everybody_has_one(self, statuses):
        signed_in = dict.fromkeys(["director", "teacher", "student", "guardian"], 200)
        assert statuses("/account/") == {**signed_in, "anonymous": "sign in"}

    def test_the_name_is_changed(self, student_user, as_user):
        assert as_user(student_user).post("/account/", {"name": "Mira T."}).url == "/account/"
        student_user.refresh_from_db()
        assert student_user.name == "Mira T."

    def test_an_empty_name_is_refused(self, student_user, as_user):
        page = as_user(student_user).post("/account/", {"name": ""})
        assert "name" in page.context["form"].errors
        assert f", {student_user.name}</span></a>" in page.text

    def test_only_staff_are_offered_a_second_factor(self, teacher, student_user, as_user):
        assert "/accounts/2fa/" in as_user(teacher).get("/account/").text
        page = as_user(student_user).get("/account/").text
        assert "/accounts/2fa/" not in page
        assert "for directors and teachers" in page

    def test_without_a_password_one_can_be_set(self, teacher, as_user):
        teacher.set_unusable_password()
        teacher.save()
        browser = as_user(teacher)
        assert "/accounts/password/set/" in browser.get("/account/").text
        browser.post("/accounts/password/set/", {"password1": PASSWORD, "password2": PASSWORD})
        teacher.refresh_from_db()
        assert teacher.check_password(PASSWORD)


class TestSigningIn:
    def test_with_a_password(self, teacher, client):
        assert sign_in(client, teacher).url == "/"

    def test_a_wrong_password_is_refused_and_the_address_stays(self, teacher, client):
        page = sign_in(client, teacher, "wrong")
        assert page.status_code == 200
        assert teacher.email in page.text

    def test_a_person_switched_off_stays_out(self, teacher, client):
        teacher.is_active = False
        teacher.save()
        sign_in(client, teacher)
        assert client.get("/account/").status_code == 302

    def test_tries_are_limited(self, teacher, client):
        for _ in range(5):
            sign_in(client, teacher, "wrong")
        page = sign_in(client, teacher)
        assert page.status_code in (200, 429)
        assert client.get("/account/").status_code == 302

    def test_with_a_mailed_code(self, student_user, client):
        client.post("/accounts/login/code/", {"email": student_user.email})
        [message] = delivered()
        assert message.subject == "Your code for signing in"
        code = message.body.split("\n\n")[1].strip()
        client.post("/accounts/login/code/confirm/", {"code": code})
        assert client.get("/account/").status_code == 200

    def test_a_stranger_gets_the_same_page_and_no_mail(self, studio, client):
        response = client.post("/accounts/login/code/", {"email": "nobody@example.org"})
        assert response.url == "/accounts/login/code/confirm/"
        assert not delivered()

    def test_the_reset_link_is_built_from_the_sites_address(self, teacher, client, settings):
        settings.SITE_ADDRESS = "https://hear.example"
        client.post("/accounts/password/reset/", {"email": teacher.email}, headers={"host": "localhost"})
        [message] = delivered()
        assert "https://hear.example/accounts/password/reset/key/" in message.body
        path = message.body.split("https://hear.example")[1].split()[0]
        assert client.get(path, follow=True).status_code == 200

    def test_there_is_no_open_sign_up(self, studio, client):
        page = client.get("/accounts/signup/")
        assert "come by invitation" in page.text
        data = {"email": "new@example.org", "password1": PASSWORD, "password2": PASSWORD}
        client.post("/accounts/signup/", data)
        assert client.get("/account/").status_code == 302

    @pytest.mark.parametrize("path", ["email/", "confirm-email/", "confirm-email/x/"])
    def test_mail_addresses_are_not_changed_here(self, teacher, as_user, path):
        assert as_user(teacher).get(f"/accounts/{path}").status_code == 404

    def test_signing_out_needs_a_post(self, teacher, as_user):
        browser = as_user(teacher)
        assert browser.get("/accounts/logout/").status_code == 200
        assert browser.get("/account/").status_code == 200
        browser.post("/accounts/logout/")
        assert browser.get("/account/").status_code == 302


class TestSecondFactor:
    @pytest.mark.parametrize("url", SECOND_FACTOR)
    def test_students_and_guardians_learn_it_is_for_staff(self, student_user, guardian, as_user, url):
        for user in (student_user, guardian):
            page = as_user(user).get(url)
            assert page.status_code == 403
            assert "for directors and teachers" in page.text
        assert as_user(None).get(url).status_code == 302

    def test_switching_it_on_and_signing_in_with_it(self, teacher, client):
        sign_in(client, teacher)
        asked = client.get("/accounts/2fa/totp/activate/", follow=True)
        assert "show once more that it is you" in asked.text
        client.post("/accounts/reauthenticate/", {"password": PASSWORD})
        page = client.get("/accounts/2fa/totp/activate/")
        assert 'src="data:image/svg+xml' in page.text
        secret = page.context["form"].secret
        client.post("/accounts/2fa/totp/activate/", {"code": code_for(secret)})
        kinds = set(Authenticator.objects.filter(user=teacher).values_list("type", flat=True))
        assert kinds == {"totp", "recovery_codes"}
        assert "Second factor and recovery codes" in client.get("/account/").text
        assert "10 codes are left" in client.get("/accounts/2fa/").text
        client.post("/accounts/logout/")
        assert sign_in(client, teacher).url == "/accounts/2fa/authenticate/"
        assert client.get("/account/").status_code == 302
        codes = Authenticator.objects.get(user=teacher, type="recovery_codes").wrap().get_unused_codes()
        client.post("/accounts/2fa/authenticate/", {"code": codes[0]})
        assert client.get("/account/").status_code == 200

    def test_a_wrong_code_opens_nothing(self, teacher, client):
        TOTP.activate(teacher, "A" * 32)
        RecoveryCodes.activate(teacher)
        sign_in(client, teacher)
        page = client.post("/accounts/2fa/authenticate/", {"code": "000000"})
        assert page.status_code == 200
        assert str(get_adapter().error_messages["incorrect_code"]) in page.text
        assert client.get("/account/").status_code == 302

    def test_a_mailed_code_does_not_get_round_it(self, teacher, client):
        TOTP.activate(teacher, "A" * 32)
        client.post("/accounts/login/code/", {"email": teacher.email})
        code = delivered()[0].body.split("\n\n")[1].strip()
        client.post("/accounts/login/code/confirm/", {"code": code})
        assert client.get("/account/").status_code == 302


def test_a_chosen_language_is_read_on_every_page_and_the_browser_decides_without(client, as_user, teacher):
    page = client.get("/accounts/login/", headers={"accept-language": "de"})
    assert 'lang="de"' in page.content.decode()
    signed_in = as_user(teacher)
    assert 'lang="en"' in signed_in.get("/account/").content.decode()
    answer = signed_in.post("/account/", {"name": teacher.name, "language": "de"}, follow=True)
    assert 'lang="de"' in answer.content.decode()
    assert "Mein Konto" in answer.content.decode()
    browser = {"accept-language": "en"}
    assert 'lang="de"' in signed_in.get("/reviews/", headers=browser).content.decode()


def test_a_language_the_program_does_not_know_is_refused_next_to_its_field(as_user, teacher):
    page = as_user(teacher).post("/account/", {"name": teacher.name, "language": "tlh"})
    assert page.status_code == 200
    assert "tlh" in page.content.decode()
    teacher.refresh_from_db()
    assert teacher.language == ""
