"""Guesses sent at the same moment are counted one by one: by a real server, on both databases."""

import os
import re
import urllib.error
import urllib.parse
import urllib.request
from concurrent.futures import ThreadPoolExecutor
from http.cookiejar import CookieJar
from threading import Barrier
from urllib.parse import urlsplit

import pytest

from tests.conftest import PASSWORD
from tests.running import free_port, manage, status_of, wait_for, web_server

pytestmark = pytest.mark.slow
SIGN_IN, ASK, CONFIRM = "/accounts/login/", "/accounts/login/code/", "/accounts/login/code/confirm/"
FACTOR, OUT = "/accounts/2fa/authenticate/", "/accounts/logout/"
AT_ONCE = 24
MAKE_PEOPLE = f"""
from allauth.mfa.totp.internal.auth import TOTP
from studio.models import Studio, User
Studio.objects.create(name="Linden Studio", time_zone="Europe/Vienna")
for name in ("known", "guessed", "factor"):
    user = User.objects.create_user(email=name + "@example.org", password="{PASSWORD}", name=name)
    user.grant("teacher")
TOTP.activate(user, "A" * 32)
"""


class Visitor:
    """A browser, and many of it at the same moment."""

    def __init__(self, address: str) -> None:
        self.address, self.jar = address, CookieJar()

    def ask(self, path: str, sent: dict | None = None) -> str:
        if sent is not None and path != OUT:
            self.ask(path)
        return self._ask(self.jar, path, sent)

    def ask_at_once(self, path: str, tries: list[dict]) -> list[str]:
        """Each with the cookies of now, none waiting for the answer to another."""
        self.ask(path)
        ready = Barrier(len(tries))

        def one(sent: dict) -> str:
            jar = CookieJar()
            for cookie in self.jar:
                jar.set_cookie(cookie)
            ready.wait()
            return self._ask(jar, path, sent)

        with ThreadPoolExecutor(len(tries)) as threads:
            return list(threads.map(one, tries))

    def _ask(self, jar: CookieJar, path: str, sent: dict | None) -> str:
        tokens = [cookie.value for cookie in jar if cookie.name == "csrftoken"]
        body = None
        if sent is not None:
            body = urllib.parse.urlencode({**sent, "csrfmiddlewaretoken": tokens[0]}).encode()
        browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(jar))
        try:
            return browser.open(self.address + path, body, timeout=120).read().decode()
        except urllib.error.HTTPError as refused:
            return refused.read().decode()


@pytest.fixture(scope="module", params=["embedded", pytest.param("services", marks=pytest.mark.services)])
def server(request, tmp_path_factory):
    """A studio's web server with two processes, as the README starts it."""
    data = tmp_path_factory.mktemp("data")
    data.chmod(0o700)
    if request.param == "embedded":
        yield from served(data)
        return
    import psycopg

    given, name = os.environ["TEST_DATABASE_URL"], f"fairhearing_bursts_{os.getpid()}"
    with psycopg.connect(given, autocommit=True) as database:
        database.execute(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")
        database.execute(f"CREATE DATABASE {name}")
        yield from served(data, DATABASE_URL=urlsplit(given)._replace(path=f"/{name}").geturl())
        database.execute(f"DROP DATABASE {name} WITH (FORCE)")


def served(data, **extra: str):
    manage(data, "migrate", "--verbosity", "0", **extra)
    manage(data, "collectstatic", "--noinput", "--verbosity", "0", **extra)
    manage(data, "shell", "-c", MAKE_PEOPLE, **extra)
    port = free_port()
    address = f"http://127.0.0.1:{port}"
    with web_server(data, port=port, **extra):
        wait_for(lambda: is_open(address))
        yield address


def is_open(address: str) -> bool:
    try:
        return status_of(address + SIGN_IN) == 200
    except OSError:
        return False


def judged(pages: list[str], words: str) -> int:
    assert all(re.search("<h1>", page) for page in pages), pages
    assert not [page for page in pages if "<h1>Something went wrong" in page]
    return sum(words in page for page in pages)


def test_of_many_wrong_passwords_at_once_five_are_judged_and_a_known_device_still_gets_in(server):
    owner, right = Visitor(server), {"login": "known@example.org", "password": PASSWORD}
    owner.ask(SIGN_IN, right)
    assert "<h1>Sign in" not in owner.ask("/account/")
    owner.ask(OUT, {})
    stranger = Visitor(server)
    wrong = [{"login": "known@example.org", "password": f"not this one {n}"} for n in range(AT_ONCE)]
    pages = stranger.ask_at_once(SIGN_IN, wrong)
    assert judged(pages, "do not go together") == 5
    assert judged(pages, "That was tried many times") == AT_ONCE - 5
    assert "That was tried many times" in Visitor(server).ask(SIGN_IN, right)
    owner.ask(SIGN_IN, right)
    assert "<h1>Sign in" not in owner.ask("/account/")


def test_of_many_guesses_of_one_mailed_code_at_once_three_are_judged(server):
    stranger = Visitor(server)
    stranger.ask(ASK, {"email": "guessed@example.org"})
    pages = stranger.ask_at_once(CONFIRM, [{"code": f"WRONG{n}"} for n in range(30)])
    assert judged(pages, "This is not the code") <= 3


def test_of_many_guesses_of_a_second_factor_at_once_five_are_judged(server):
    stranger = Visitor(server)
    stranger.ask(SIGN_IN, {"login": "factor@example.org", "password": PASSWORD})
    pages = stranger.ask_at_once(FACTOR, [{"code": f"{n:06}"} for n in range(AT_ONCE)])
    assert judged(pages, "Incorrect code") == 5
