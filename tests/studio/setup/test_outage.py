"""Database, cache or broker away: waited out where it is short, told with all that was typed where not."""

import re
import sqlite3
import time

import pytest
from django.core.cache import caches
from django.db import OperationalError, connection
from django.test import Client
from django.urls import reverse

from studio.models import Season, Studio
from studio.setup import outage
from studio.setup.caches import DoneWithout
from studio.setup.settings import DATABASES
from tests.conftest import PASSWORD, make_person
from tests.running import free_port

SEASON = {
    "name": "Spring & <rain>",
    "starts_on": "2027-01-10",
    "ends_on": "2027-03-20",
    "keep_takes_days": "90",
}


@pytest.fixture
def locked(transactional_db):
    """SQLite, with somebody else writing until `locked.rollback()`; waiting is short here."""
    if connection.vendor != "sqlite":
        pytest.skip("SQLite's own trouble")
    Studio.objects.create(name="Linden Studio", time_zone="Europe/Vienna")
    make_person("Dorothea Quill", "director")
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA busy_timeout=50")
    other = sqlite3.connect(connection.settings_dict["NAME"], isolation_level=None)
    yield other
    other.close()
    connection.close()


def hidden(page) -> dict:
    found = re.findall(r'<input type="hidden" name="([^"]*)" value="([^"]*)">', page.text)
    return {
        name: value.replace("&amp;", "&").replace("&lt;", "<").replace("&gt;", ">") for name, value in found
    }


def signed_in() -> Client:
    browser = Client(raise_request_exception=False)
    browser.login(email="dorothea@example.org", password=PASSWORD)
    browser.get("/seasons/")
    return browser


def test_a_form_sent_while_the_database_is_locked_is_kept_and_sent_again(locked):
    browser = signed_in()
    locked.execute("BEGIN IMMEDIATE")
    page = browser.post("/seasons/new/", SEASON)
    assert page.status_code == 503
    assert page["Retry-After"]
    assert "kept on this page" in page.text
    assert 'action="/seasons/new/"' in page.text
    locked.execute("ROLLBACK")
    assert browser.post("/seasons/new/", hidden(page)).status_code == 302
    assert Season.objects.get().name == SEASON["name"]


def test_signing_in_while_the_database_is_locked_says_so_and_nobody_gets_in(locked):
    browser = Client(raise_request_exception=False)
    browser.get("/accounts/login/")
    locked.execute("BEGIN IMMEDIATE")
    page = browser.post("/accounts/login/", {"login": "dorothea@example.org", "password": PASSWORD})
    locked.execute("ROLLBACK")
    assert "at the moment" in page.text
    assert PASSWORD not in page.text
    assert "dorothea@example.org" in page.text
    assert browser.get("/account/").status_code == 302


def test_half_a_minute_is_waited_out_by_sqlite_itself():
    if not DATABASES["default"]["ENGINE"].endswith("sqlite3"):
        pytest.skip("SQLite's own setting")
    options = DATABASES["default"]["OPTIONS"]
    assert options["timeout"] >= 35
    assert int(re.search(r"busy_timeout=(\d+)", options["init_command"])[1]) >= 35_000


def test_a_page_asked_for_meanwhile_tries_again_by_itself(db, monkeypatch):
    monkeypatch.setattr("studio.setup.middleware._studio", _raises(OperationalError("database is locked")))
    browser = Client(raise_request_exception=False)
    page = browser.get("/accounts/login/?next=/a/", headers={"accept-language": "de"})
    assert page.status_code == 503
    assert 'http-equiv="refresh"' in page.text
    assert "Das Studio antwortet gerade nicht" in page.text
    assert page["Cache-Control"] == "private, no-store"


def test_a_script_gets_a_sentence(db, monkeypatch):
    monkeypatch.setattr("studio.setup.middleware._studio", _raises(OperationalError("database is locked")))
    page = Client(raise_request_exception=False).get("/", headers={"accept": "application/json"})
    assert page.status_code == 503
    assert "does not answer" in page.json()["error"]


def test_passwords_and_files_are_asked_anew(rf):
    sent = rf.post("/x/", {"name": "Anna", "password": "secret-lamp"})
    page = outage.away(sent).content.decode()
    assert "secret-lamp" not in page
    assert 'type="password" name="password"' in page
    assert "data-again-s" not in page


def test_a_fault_of_ours_is_no_outage(db, monkeypatch):
    monkeypatch.setattr("studio.setup.middleware._studio", _raises(RuntimeError("planted")))
    assert Client(raise_request_exception=False).get("/").status_code == 500
    if connection.vendor == "sqlite":
        assert not outage.is_outage(OperationalError("no such table: studio_season"))


def _raises(error: Exception):
    def fails(*_args, **_more):
        raise error

    return fails


class TestPatience:
    @pytest.fixture(autouse=True)
    def short(self, monkeypatch):
        monkeypatch.setattr(outage, "SHORT_S", 0.3)
        monkeypatch.setattr(outage, "LOOK_EVERY_S", 0.01)

    def test_a_short_outage_is_waited_out(self):
        tries = iter([OperationalError("starting up")] * 3)

        def reach():
            for error in tries:
                raise error

        assert outage.Patience(reach).reached()

    def test_a_long_one_is_not_and_then_nobody_waits_any_more(self):
        patience = outage.Patience(_raises(OperationalError("refused")))
        began = time.monotonic()
        assert not patience.reached()
        assert 0.3 <= time.monotonic() - began < 2
        began = time.monotonic()
        assert not patience.reached()
        assert time.monotonic() - began < 0.2


@pytest.fixture
def no_redis(settings):
    """As with REDIS_URL set and the server gone."""
    away = {"BACKEND": "studio.setup.caches.Redis", "LOCATION": f"redis://127.0.0.1:{free_port()}/0"}
    settings.CACHES = {"default": away, "drawings": away}
    yield
    DoneWithout._away_until = 0.0


def test_without_redis_people_sign_in_and_music_is_drawn(no_redis, director, excerpt):
    browser = Client()
    assert (
        browser.post("/accounts/login/", {"login": director.email, "password": PASSWORD}).status_code == 302
    )
    assert b"<svg" in browser.get(reverse("excerpt_svg", args=[excerpt.pk])).content


def test_a_cache_that_is_away_is_empty_and_forgetful(no_redis):
    cache = caches["drawings"]
    cache.set("a", 1)
    assert cache.get("a") is None
    assert cache.get("a", 7) == 7
    assert cache.get_many(["a"]) == {}
    assert cache.add("a", 1)
    assert not cache.delete("a")


def test_the_settings_use_them():
    from studio.setup.settings import CACHES

    assert {facts["BACKEND"] for facts in CACHES.values()} <= {
        "studio.setup.caches.Redis",
        "studio.setup.caches.Files",
    }
