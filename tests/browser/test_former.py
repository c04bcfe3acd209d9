"""The former take beside this one on the desk: one key changes between them, at the same bar."""

from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from recordings.models import Take
from tests.browser.review_page import now_s, open_review, review, wait_until
from tests.recordings.measured_take import BAR_S, make_take
from tests.recordings.sounds import tone, write_sound

__all__ = ["review"]  # a fixture, found by its name
LATER_S = 1.25  # everything comes this much later in the former take
FORMER = "document.querySelector('#former-audio')"


@pytest.fixture
def desk(page, sign_in, teacher, review, entry, requirement, tmp_path):
    sound = write_sound(tmp_path / "former.wav", tone(18.0)).read_bytes()
    former = make_take(entry, requirement, sound=sound)
    for bar in former.analysis.result["bars"]:
        bar["start_s"] += LATER_S
        bar["end_s"] += LATER_S
    former.analysis.save()
    Take.objects.filter(pk=former.pk).update(uploaded_at=timezone.now() - timedelta(days=3))
    sign_in(page, teacher)
    return open_review(page, review)


def test_one_key_goes_to_the_same_bar_of_the_former_take_and_back(desk):
    third = 0.5 + 2 * BAR_S
    desk.evaluate(f"document.querySelector('#take-audio').currentTime = {third + 1}")
    expect(desk.locator("#now-bar")).to_contain_text("bar 1, second time")
    desk.locator("h1").focus()
    desk.keyboard.press("o")
    expect(desk.locator("#former")).to_have_attribute("aria-pressed", "true")
    assert desk.evaluate(f"{FORMER}.currentTime") == pytest.approx(third + LATER_S + 1, abs=0.05)
    desk.keyboard.press("p")
    wait_until(desk, lambda: desk.evaluate(f"{FORMER}.currentTime") > third + LATER_S + 1)
    assert now_s(desk) == pytest.approx(third + 1, abs=0.05)
    desk.keyboard.press("o")
    wait_until(desk, lambda: not desk.evaluate("document.querySelector('#take-audio').paused"))
    assert desk.evaluate(f"{FORMER}.paused")
    desk.keyboard.press("p")
    assert third + 1 < now_s(desk) < third + BAR_S


def test_what_the_page_speaks_of_is_heard_in_its_own_take(desk):
    desk.locator("h1").focus()
    desk.keyboard.press("o")
    desk.keyboard.press("f")
    desk.keyboard.press("h")
    expect(desk.locator("#former")).to_have_attribute("aria-pressed", "false")
    wait_until(desk, lambda: not desk.evaluate("document.querySelector('#take-audio').paused"))
    assert desk.evaluate(f"{FORMER}.paused")
