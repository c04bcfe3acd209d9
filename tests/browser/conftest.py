"""Headless Chromium for the tests of this folder; they are skipped, with the reason, where it is missing."""

import os
import shutil
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client

from recordings.demo.plan import read_plan
from tests.browser.chromium import PATIENCE_MS, chromium_path, launch, sign_in_by_form
from tests.running import ready_demo, running_studio


def pytest_collection_modifyitems(items):
    here = Path(__file__).parent
    ours = [item for item in items if here in item.path.parents]
    missing = None if chromium_path() else "Chromium was not found (set CHROMIUM to its path)"
    for item in ours:
        item.add_marker(pytest.mark.browser)
        if missing:
            item.add_marker(pytest.mark.skip(reason=missing))


@pytest.fixture(scope="package")
def browser():
    from playwright.sync_api import sync_playwright

    # Playwright keeps an event loop in this thread, which Django takes for asynchronous code.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as playwright:
        chromium = launch(playwright)
        yield chromium
        chromium.close()
    del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


@pytest.fixture
def open_page(browser):
    """Open pages of a given width and base address; a script error or a blocked script fails the test."""
    contexts, troubles = [], []

    def opened(*, base_url: str, width: int = 1280, height: int = 900, **options):
        context = browser.new_context(
            base_url=base_url, viewport={"width": width, "height": height}, **options
        )
        context.set_default_timeout(PATIENCE_MS)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: troubles.append(str(error)))
        page.on("console", lambda wording: _note_blocked(wording, troubles))
        return page

    yield opened
    for context in contexts:
        context.close()
    assert not troubles, troubles


def _note_blocked(wording, troubles: list[str]) -> None:
    if wording.type == "error" and "Content Security Policy" in wording.text:
        troubles.append(wording.text)


@pytest.fixture
def page(open_page, live_server):
    """A page 1280 px wide on the test server."""
    return open_page(base_url=live_server.url)


@pytest.fixture
def phone(open_page, live_server):
    """A page as wide as a small phone."""
    return open_page(base_url=live_server.url, width=360, height=780, has_touch=True, is_mobile=True)


@pytest.fixture(scope="package")
def demo(tmp_path_factory):
    """The demo season in a studio that really runs: web server, worker and scheduler of their own."""
    folder = tmp_path_factory.mktemp("demo") / "data"
    shutil.copytree(ready_demo(tmp_path_factory), folder)
    with running_studio(folder) as studio:
        yield studio


@pytest.fixture
def enter(demo, open_page):
    """`enter("teacher")`: a page 1280 px wide, signed in through the form as the demo's teacher."""
    password = read_plan()["password"]

    def entered(who: str, **options):
        page = open_page(base_url=demo.address, **options)
        sign_in_by_form(page, f"{who}@demo.example", password)
        return page

    return entered


@pytest.fixture
def sign_in(live_server):
    """`sign_in(page, user)`: give the page a session of this person, without the form."""

    def signed_in(page, user) -> None:
        client = Client()
        client.force_login(user)
        cookie = client.cookies[settings.SESSION_COOKIE_NAME]
        page.context.add_cookies(
            [{"name": cookie.key, "value": cookie.value, "url": live_server.url, "httpOnly": True}]
        )

    return signed_in
