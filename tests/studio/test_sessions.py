"""How long a sign-in lasts, what its cookie is called, the mail about a changed password or second factor."""

import subprocess
import sys
from datetime import timedelta

import pytest
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal.auth import TOTP
from django.utils import timezone

from studio.setup.sessions import SEEN_AT, SIGNED_IN_AT
from tests.conftest import PASSWORD
from tests.mails import delivered
from tests.running import ROOT, environment
from tests.studio.test_account import code_for, sign_in

NEW = "quite-another-lamp-43"


def move_back(client, name: str, span: timedelta) -> None:
    session = client.session
    session[name] = (timezone.now() - span).timestamp()
    session.save()


class TestHowLongASignInLasts:
    def test_who_comes_back_in_time_stays_signed_in(self, teacher, client, settings):
        sign_in(client, teacher)
        assert client.get("/account/").status_code == 200
        for _ in range(3):
            move_back(client, SEEN_AT, timedelta(hours=settings.SESSION_IDLE_HOURS, minutes=-1))
            assert client.get("/account/").status_code == 200

    def test_who_stays_away_signs_in_again_and_comes_back_to_the_page(self, teacher, client, settings):
        sign_in(client, teacher)
        client.get("/account/")
        move_back(client, SEEN_AT, timedelta(hours=settings.SESSION_IDLE_HOURS, minutes=1))
        answer = client.get("/account/")
        assert answer.url == "/accounts/login/?next=/account/"
        page = client.get(answer.url)
        assert "You were away for a while" in page.text
        assert client.get("/account/").status_code == 302

    def test_after_the_longest_time_also_who_was_never_away(self, teacher, client, settings):
        sign_in(client, teacher)
        client.get("/account/")
        move_back(client, SIGNED_IN_AT, timedelta(days=settings.SESSION_LONGEST_DAYS, minutes=1))
        page = client.get(client.get("/account/").url)
        assert "signed in for a long time" in page.text
        assert "You were away" not in page.text

    def test_it_is_written_down_now_and_then_and_not_at_every_page(self, teacher, client, queries_of):
        sign_in(client, teacher)
        client.get("/account/")
        seen = client.session[SEEN_AT]
        client.get("/account/")
        assert client.session[SEEN_AT] == seen
        move_back(client, SEEN_AT, timedelta(hours=1))
        client.get("/account/")
        assert timezone.now().timestamp() - client.session[SEEN_AT] < 60

    def test_a_session_from_before_the_limit_goes_on(self, teacher, client):
        sign_in(client, teacher)
        session = client.session
        for name in (SEEN_AT, SIGNED_IN_AT):
            session.pop(name, None)
        session.save()
        assert client.get("/account/").status_code == 200
        assert SEEN_AT in client.session


@pytest.mark.parametrize(
    ("address", "expected"),
    [
        ("http://127.0.0.1:8000", "sessionid csrftoken"),
        ("https://hear.example", "__Host-sessionid __Host-csrftoken"),
    ],
)
def test_with_https_the_cookies_are_bound_to_the_one_host(tmp_path, address, expected):
    tmp_path.chmod(0o700)
    code = (
        "from django.conf import settings as s; "
        "assert not s.SESSION_COOKIE_DOMAIN and not s.CSRF_COOKIE_DOMAIN; "
        "assert s.SESSION_COOKIE_PATH == s.CSRF_COOKIE_PATH == '/'; "
        "print(s.SESSION_COOKIE_NAME, s.CSRF_COOKIE_NAME)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        env=environment(
            tmp_path,
            SITE_ADDRESS=address,
            TRUSTED_PROXIES="1",
            DJANGO_SETTINGS_MODULE="studio.setup.settings",
        ),
        capture_output=True,
        text=True,
    )
    assert done.stdout.strip() == expected, done.stderr


class TestMailOfAChange:
    def test_a_changed_password(self, teacher, client):
        sign_in(client, teacher)
        sent = {"oldpassword": PASSWORD, "password1": NEW, "password2": NEW}
        client.post("/accounts/password/change/", sent)
        [message] = delivered()
        assert message.to == [teacher.email]
        assert message.subject == "Linden Studio: your password was changed"
        assert "127.0.0.1:8000/accounts/password/reset/" in message.body
        assert NEW not in message.body

    def test_a_password_chosen_by_a_mailed_link(self, teacher, client):
        client.post("/accounts/password/reset/", {"email": teacher.email})
        path = delivered()[0].body.split("http://127.0.0.1:8000")[1].split()[0]
        form = client.get(path, follow=True)
        client.post(form.redirect_chain[-1][0], {"password1": NEW, "password2": NEW})
        assert delivered()[-1].subject == "Linden Studio: your password was changed"

    def test_a_wrong_old_password_tells_nothing(self, teacher, client):
        sign_in(client, teacher)
        client.post("/accounts/password/change/", {"oldpassword": "no", "password1": NEW, "password2": NEW})
        assert not delivered()

    def test_a_second_factor_switched_on_and_off(self, teacher, client, django_capture_on_commit_callbacks):
        sign_in(client, teacher)
        client.post("/accounts/reauthenticate/", {"password": PASSWORD})
        secret = client.get("/accounts/2fa/totp/activate/", follow=True).context["form"].secret
        with django_capture_on_commit_callbacks(execute=True):
            client.post("/accounts/2fa/totp/activate/", {"code": code_for(secret)})
        assert delivered()[-1].subject == "Linden Studio: your second factor was switched on"
        client.post("/accounts/2fa/totp/deactivate/")
        assert not Authenticator.objects.filter(user=teacher, type="totp").exists()
        assert delivered()[-1].subject == "Linden Studio: your second factor was switched off"

    def test_new_recovery_codes(self, teacher, client, django_capture_on_commit_callbacks):
        TOTP.activate(teacher, "A" * 32)
        codes = RecoveryCodes.activate(teacher).get_unused_codes()
        sign_in(client, teacher)
        client.post("/accounts/2fa/authenticate/", {"code": codes[0]})
        client.post("/accounts/reauthenticate/", {"password": PASSWORD})
        with django_capture_on_commit_callbacks(execute=True):
            client.post("/accounts/2fa/recovery-codes/generate/")
        assert delivered()[-1].subject == "Linden Studio: you have new recovery codes"

    def test_it_speaks_the_persons_language(self, teacher, client):
        teacher.language = "de"
        teacher.save()
        sign_in(client, teacher)
        client.post(
            "/accounts/password/change/", {"oldpassword": PASSWORD, "password1": NEW, "password2": NEW}
        )
        assert delivered()[0].subject == "Linden Studio: Dein Passwort wurde geändert"
