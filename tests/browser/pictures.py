"""Takes the README's pictures of the demo: `make pictures` (or python -m tests.browser.pictures)."""

import json
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from tests.browser.chromium import PATIENCE_MS, chromium_path, launch, sign_in_by_form
from tests.running import ROOT, prepare_demo, running_studio

FOLDER = ROOT / "fixtures" / "pictures"
DESK = {"viewport": {"width": 1280, "height": 860}}
PHONE = {"viewport": {"width": 360, "height": 780}, "device_scale_factor": 2}
STUDENT = "Ada Thornbury"


def readiness(page: Page) -> None:
    page.goto("/readiness/")


def review(page: Page) -> None:
    page.goto("/reviews/")
    page.get_by_role("row").filter(has_text=STUDENT).get_by_role("link").last.click()
    page.locator(".score svg").first.wait_for()
    page.wait_for_load_state("networkidle")


def my_music(page: Page) -> None:
    page.goto("/my-music/")


def released(page: Page) -> None:
    page.goto("/my-music/")
    page.get_by_role("link", name="Lamplight Study").first.click()
    page.get_by_role("link", name="Hear and read it bar by bar").click()
    page.get_by_role("heading", name="Your teacher's answer").scroll_into_view_if_needed()


PICTURES = (
    ("readiness-1280.png", "director", DESK, readiness),
    ("review-1280.png", "teacher", DESK, review),
    ("my-music-360.png", "student", PHONE, my_music),
    ("released-360.png", "student", PHONE, released),
)


def take_pictures(address: str, password: str) -> None:
    FOLDER.mkdir(exist_ok=True)
    with sync_playwright() as playwright:
        browser = launch(playwright)
        for name, who, shape, go in PICTURES:
            context = browser.new_context(base_url=address, reduced_motion="reduce", **shape)
            context.set_default_timeout(PATIENCE_MS)
            page = context.new_page()
            sign_in_by_form(page, f"{who}@demo.example", password)
            go(page)
            page.screenshot(path=FOLDER / name)
            context.close()
            print(f"fixtures/pictures/{name}")
        browser.close()


def main() -> None:
    if not chromium_path():
        sys.exit("Chromium was not found: install it, or set CHROMIUM to its path.")
    with tempfile.TemporaryDirectory() as folder:
        prepare_demo(Path(folder))
        with running_studio(Path(folder)) as studio:
            take_pictures(studio.address, demo_password())


def demo_password() -> str:
    return json.loads((ROOT / "fixtures" / "season.json").read_text(encoding="utf-8"))["password"]


if __name__ == "__main__":
    main()
