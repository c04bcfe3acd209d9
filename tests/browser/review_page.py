"""The review page as the browser's tests open it, and what they look at again and again."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from recordings.models import Review
from recordings.reviews.draft import draft_review
from tests.recordings.measured_take import make_take
from tests.recordings.sounds import tone, write_sound

# A busy machine takes its time; what is asserted is what happens, not how fast.
expect.set_options(timeout=15_000)


@pytest.fixture
def review(live_server, entry, requirement, tmp_path):
    sound = write_sound(tmp_path / "take.wav", tone(16.5)).read_bytes()
    take = make_take(entry, requirement, sound=sound)
    return draft_review(take, take.analysis.result)


@pytest.fixture
def opened(page, sign_in, teacher, review):
    sign_in(page, teacher)
    return open_review(page, review)


def open_review(page, review):
    page.goto(reverse("review", args=[review.take_id]))
    page.wait_for_selector("#score[data-ready]")
    return page


def now_s(page) -> float:
    return page.evaluate("document.querySelector('#take-audio').currentTime")


def wait_until(page, true) -> None:
    """Look again and again, in the page's own time, until `true()` holds."""
    for _ in range(150):
        if true():
            return
        page.wait_for_timeout(50)
    pytest.fail("it did not come true within 7.5 s")


def stored_words() -> str:
    return Review.objects.get().words
