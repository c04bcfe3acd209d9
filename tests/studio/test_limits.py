"""How many tries are judged, from where, and that no stranger keeps the right password out."""

import time
from datetime import timedelta
from threading import BoundedSemaphore

import pytest
from allauth.mfa.totp.internal.auth import TOTP
from django.conf import settings
from django.core import signing
from django.db import connection
from django.test import Client
from django.utils import timezone

from studio.models import Studio, Tries
from studio.services import limits
from studio.setup.devices import SALT
from studio.tasks import sweep_tries
from tests.conftest import PASSWORD, make_person
from tests.mails import delivered
from tests.studio.test_account import code_for

SIGN_IN, ASK, CONFIRM = "/accounts/login/", "/accounts/login/code/", "/accounts/login/code/confirm/"
TOO_MANY, MISMATCH = "That was tried many times", "do not go together"
HOME, AWAY = "203.0.113.7", "198.51.100.1"


def sign_in(client, email, password=PASSWORD, *, place=HOME):
    return client.post(SIGN_IN, {"login": email, "password": password}, REMOTE_ADDR=place)


def fail(email, times, *, place=HOME, client=None) -> list[str]:
    client = client or Client()
    return [sign_in(client, email, "not this one", place=place).text for _ in range(times)]


def is_in(client) -> bool:
    return client.get("/account/").status_code == 200


@pytest.fixture
def own_device(teacher):
    """A browser the teacher has signed in with, and out of."""
    client = Client()
    sign_in(client, teacher.email)
    client.post("/accounts/logout/")
    return client


class TestPasswords:
    def test_the_sixth_wrong_one_from_one_place_is_not_judged(self, teacher):
        pages = fail(teacher.email, 6)
        assert [MISMATCH in page for page in pages] == [True] * 5 + [False]
        assert TOO_MANY in pages[5]

    def test_the_refusal_stands_beside_the_field_and_the_address_stays(self, teacher, client):
        fail(teacher.email, 5)
        page = sign_in(client, teacher.email)
        assert page.context["form"].errors.keys() == {"password"}
        assert f'value="{teacher.email}"' in page.text
        assert not is_in(client)

    def test_in_german_too(self, teacher, client):
        fail(teacher.email, 5)
        sent = {"login": teacher.email, "password": PASSWORD}
        page = client.post(SIGN_IN, sent, REMOTE_ADDR=HOME, headers={"accept-language": "de"})
        assert "Das wurde oft versucht" in page.text

    def test_a_device_that_has_signed_in_before_is_let_in_even_from_the_same_place(self, teacher, own_device):
        fail(teacher.email, 12)
        assert sign_in(own_device, teacher.email).status_code == 302
        assert is_in(own_device)

    def test_also_where_wrong_ones_came_from_everywhere(self, teacher, own_device):
        for n in range(8):
            fail(teacher.email, 5, place=f"198.51.100.{n}")
        new = Client()
        assert TOO_MANY in sign_in(new, teacher.email, place="192.0.2.1").text
        sign_in(own_device, teacher.email, place="192.0.2.1")
        assert is_in(own_device)

    def test_from_another_place_the_person_gets_in_on_a_new_device(self, teacher, client):
        fail(teacher.email, 12)
        sign_in(client, teacher.email, place=AWAY)
        assert is_in(client)

    def test_a_device_of_another_person_is_a_strangers(self, teacher, other_teacher, own_device):
        pages = fail(other_teacher.email, 6, client=own_device)
        assert TOO_MANY in pages[5]

    def test_a_made_up_mark_is_a_strangers(self, teacher, own_device):
        stranger = Client()
        mark = own_device.cookies[settings.KNOWN_DEVICE_COOKIE_NAME].value
        stranger.cookies[settings.KNOWN_DEVICE_COOKIE_NAME] = "x" + mark
        assert TOO_MANY in fail(teacher.email, 6, client=stranger)[5]

    def test_several_people_share_a_device(self, teacher, other_teacher, own_device):
        sign_in(own_device, other_teacher.email)
        own_device.post("/accounts/logout/")
        for person in (teacher, other_teacher):
            fail(person.email, 6)
            assert sign_in(own_device, person.email).status_code == 302
            own_device.post("/accounts/logout/")

    def test_the_mark_holds_no_address_and_no_script_reads_it(self, teacher, own_device):
        cookie = own_device.cookies[settings.KNOWN_DEVICE_COOKIE_NAME]
        assert "anselm" not in str(signing.loads(cookie.value, salt=SALT))
        assert cookie["httponly"]

    def test_one_place_tries_ten_people_a_minute(self, studio):
        pages = [fail(f"person{n}@example.org", 1)[0] for n in range(11)]
        assert [MISMATCH in page for page in pages] == [True] * 10 + [False]

    def test_right_ones_are_not_counted(self, teacher):
        for _ in range(12):
            client = Client()
            sign_in(client, teacher.email)
            assert is_in(client)

    def test_after_a_rest_it_begins_anew(self, teacher):
        fail(teacher.email, 6)
        Tries.objects.update(last_at=timezone.now() - timedelta(minutes=6))
        assert MISMATCH in fail(teacher.email, 1)[0]

    def test_the_old_password_is_no_way_round(self, teacher, as_user):
        browser = as_user(teacher)
        new = {"password1": "window-and-lamp-43", "password2": "window-and-lamp-43"}
        for _ in range(5):
            browser.post("/accounts/password/change/", {"oldpassword": "wrong", **new})
        page = browser.post("/accounts/password/change/", {"oldpassword": PASSWORD, **new})
        assert TOO_MANY in str(page.context["form"].errors["oldpassword"])

    def test_nor_is_showing_once_more_that_it_is_you(self, teacher, as_user):
        browser = as_user(teacher)
        for _ in range(5):
            browser.post("/accounts/reauthenticate/", {"password": "wrong"})
        page = browser.post("/accounts/reauthenticate/", {"password": PASSWORD})
        assert TOO_MANY in str(page.context["form"].errors["password"])


class TestTelling:
    def test_the_person_is_told_once(self, teacher):
        fail(teacher.email, 9)
        fail(teacher.email, 9, place=AWAY)
        [message] = delivered()
        assert message.to == [teacher.email]
        assert "wrong passwords" in message.subject
        assert "/accounts/password/reset/" in message.body

    def test_in_their_language(self, teacher):
        teacher.language = "de"
        teacher.save()
        fail(teacher.email, 6)
        assert "falsche Passwörter" in delivered()[0].subject

    def test_five_wrong_ones_are_no_news(self, teacher):
        fail(teacher.email, 5)
        assert not delivered()

    def test_nobody_is_told_nothing(self, studio):
        fail("nobody@example.org", 6)
        assert not delivered()


class TestCodes:
    def test_the_right_code_is_not_judged_after_three_wrong_ones_whatever_the_session_says(
        self, student_user, client
    ):
        client.post(ASK, {"email": student_user.email})
        code = delivered()[0].body.split("\n\n")[1].strip()
        before = dict(client.session["account_login"])
        for wrong in ("WRONG1", "WRONG2", "WRONG3"):
            client.post(CONFIRM, {"code": wrong})
            session = client.session
            session["account_login"] = before
            session.save()
        page = client.post(CONFIRM, {"code": code})
        assert TOO_MANY in str(page.context["form"].errors["code"])
        assert not is_in(client)

    def test_the_next_code_is_judged_again(self, student_user, client):
        client.post(ASK, {"email": student_user.email})
        for wrong in ("WRONG1", "WRONG2", "WRONG3"):
            client.post(CONFIRM, {"code": wrong})
        client.post(ASK, {"email": student_user.email})
        client.post(CONFIRM, {"code": "WRONG4"})
        client.post(CONFIRM, {"code": delivered()[1].body.split("\n\n")[1].strip()})
        assert is_in(client)

    def test_asking_is_limited_beside_the_field(self, student_user):
        pages = [Client().post(ASK, {"email": student_user.email}) for _ in range(4)]
        assert [page.status_code for page in pages] == [302, 302, 302, 200]
        assert TOO_MANY in str(pages[3].context["form"].errors["email"])

    def test_and_so_are_new_passwords(self, student_user):
        reset = "/accounts/password/reset/"
        pages = [Client().post(reset, {"email": student_user.email}) for _ in range(4)]
        assert [page.status_code for page in pages] == [302, 302, 302, 200]
        assert TOO_MANY in str(pages[3].context["form"].errors["email"])

    def test_a_second_factor_is_guessed_five_times(self, teacher, client):
        TOTP.activate(teacher, "A" * 32)
        sign_in(client, teacher.email)
        pages = [client.post("/accounts/2fa/authenticate/", {"code": "000000"}) for _ in range(6)]
        assert [TOO_MANY in page.text for page in pages] == [False] * 5 + [True]


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("password", [PASSWORD, "not this one"])
def test_where_tries_cannot_be_counted_nothing_is_judged_and_a_sentence_says_so(client, password):
    Studio.objects.create(name="Linden Studio", time_zone="Europe/Vienna")
    make_person("Anselm Birke", "teacher")
    run("ALTER TABLE studio_tries RENAME TO studio_tries_away")
    try:
        page = sign_in(client, "anselm@example.org", password)
    finally:
        run("ALTER TABLE studio_tries_away RENAME TO studio_tries")
    assert page.status_code == 200
    assert "We cannot check this at the moment" in str(page.context["form"].errors["password"])
    assert not is_in(client)


def run(order: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(order)


@pytest.mark.django_db
def test_old_rows_are_swept():
    Tries.objects.create(kind="password here", key="old", last_at=timezone.now() - timedelta(days=4))
    Tries.objects.create(kind="password here", key="new")
    sweep_tries()
    assert [row.key for row in Tries.objects.all()] == ["new"]


def test_the_scheduler_sweeps():
    assert settings.CELERY_BEAT_SCHEDULE["sweep-tries"]["task"] == sweep_tries.name


def test_rows_name_nobody(teacher):
    fail(teacher.email, 1)
    assert not [row for row in Tries.objects.all() if "anselm" in row.key or HOME in row.key]


class TestAKnownDeviceIsSlowedDownAndNeverRefused:
    @pytest.fixture(autouse=True)
    def short_pause(self, monkeypatch):
        monkeypatch.setattr(limits, "PAUSE", timedelta(seconds=0.3))

    def test_after_its_own_ten_wrong_ones_the_right_one_waits_a_moment_and_gets_in(self, teacher, own_device):
        fail(teacher.email, 12, client=own_device)
        began = time.monotonic()
        assert sign_in(own_device, teacher.email).status_code == 302
        assert is_in(own_device)
        assert time.monotonic() - began < 5

    def test_wrong_ones_have_to_wait_each(self, teacher, own_device):
        fail(teacher.email, 10, client=own_device)
        began = time.monotonic()
        assert MISMATCH in fail(teacher.email, 3, client=own_device)[2]
        assert time.monotonic() - began >= 0.6

    def test_only_so_many_wait_at_once(self, teacher, own_device, monkeypatch):
        monkeypatch.setattr(limits, "_waiting", BoundedSemaphore(1))
        limits._waiting.acquire()
        assert TOO_MANY in fail(teacher.email, 11, client=own_device)[10]

    def test_its_person_is_told(self, teacher, own_device):
        fail(teacher.email, 11, client=own_device)
        assert "wrong passwords" in delivered()[-1].subject


def test_a_code_of_the_authenticator_sent_twice_at_the_same_moment_opens_once(teacher, monkeypatch):
    """As two web processes see it: neither knows from the cache that the other has just judged it."""
    monkeypatch.setattr(TOTP, "_mark_code_used", lambda *_args: True)
    TOTP.activate(teacher, "A" * 32)
    code, browsers = code_for("A" * 32), [Client(), Client()]
    for browser in browsers:
        sign_in(browser, teacher.email)
    for browser in browsers:
        browser.post("/accounts/2fa/authenticate/", {"code": code})
    assert [is_in(browser) for browser in browsers] == [True, False]
