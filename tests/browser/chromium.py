"""Which Chromium is driven, and how it is started."""

import os
import shutil
from pathlib import Path

PLACES = (
    "/usr/bin/chromium",
    "/usr/bin/chromium-browser",
    "/usr/bin/google-chrome",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
)
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--autoplay-policy=no-user-gesture-required",
]
# A page of an idle machine answers in well under a second; a worker may take both cores meanwhile.
PATIENCE_MS = 20_000


def chromium_path() -> str | None:
    """The browser to drive: the variable CHROMIUM, the usual places, or the search path."""
    named = os.environ.get("CHROMIUM")
    places = [named] if named else [*PLACES, shutil.which("chromium"), shutil.which("google-chrome")]
    return next((place for place in places if place and Path(place).exists()), None)


def launch(playwright):
    return playwright.chromium.launch(executable_path=chromium_path(), args=ARGUMENTS)


def sign_in_by_form(page, email: str, password: str) -> None:
    """Through the sign-in page, as a person does it; ends on the person's first page."""
    page.context.clear_cookies()
    page.goto("/accounts/login/")
    page.locator("input[name=login]").fill(email)
    page.locator("input[name=password]").fill(password)
    page.locator("input[name=password]").press("Enter")
    page.wait_for_url(lambda address: "/accounts/" not in address, timeout=PATIENCE_MS)
