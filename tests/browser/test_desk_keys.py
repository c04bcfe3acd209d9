"""The desk by keyboard alone: every step has a key, while writing too, and an early key is not lost."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from recordings.models import Review
from tests.browser.axe import faults
from tests.browser.review_page import now_s, open_review, opened, review, wait_until

__all__ = ["opened", "review"]  # fixtures, found by their names

CURRENT = ".remark[aria-current=true]"
PAUSED = "document.querySelector('#take-audio').paused"


def press(page, *keys: str) -> None:
    for key in keys:
        page.keyboard.press(key)


def verdicts() -> list[str]:
    return [remark.verdict for remark in Review.objects.get().remarks.all()]


def test_keys_of_the_sound(opened):
    press(opened, "p")
    expect(opened.locator("#play")).to_have_text("Stop")
    press(opened, " ")
    expect(opened.locator("#play")).to_have_text("Play")
    opened.evaluate("document.querySelector('#take-audio').currentTime = 5")
    press(opened, "b")
    assert now_s(opened) == 3


def test_a_remark_is_looked_at_before_it_is_decided_and_the_next_open_one_follows(opened):
    press(opened, "k")
    expect(opened.locator(CURRENT)).to_contain_text("sentence number 0")
    expect(opened.locator(".remark [value=kept]:checked")).to_have_count(0)
    press(opened, "k", "f", "x")
    expect(opened.locator("#save-state")).to_contain_text("Saved at")
    wait_until(opened, lambda: verdicts() == ["kept", "proposed", "dropped"])
    press(opened, "Shift+F")
    expect(opened.locator(CURRENT)).to_contain_text("sentence number 1")
    expect(opened.locator(CURRENT)).to_be_focused()


def test_a_held_key_decides_only_once(opened):
    press(opened, "f")
    opened.keyboard.down("k")
    for _ in range(3):
        opened.keyboard.down("k")  # a second "down" without an "up" is a repeat
    opened.keyboard.up("k")
    expect(opened.locator("#remarks [value=kept]:checked")).to_have_count(1)


def test_hear_what_a_remark_speaks_of(opened):
    press(opened, "f", "f", "h")
    wait_until(opened, lambda: now_s(opened) > 3.1)
    assert not opened.evaluate(PAUSED)


def test_write_in_a_remark_and_go_on_without_the_mouse(opened):
    press(opened, "f", "Enter")
    expect(opened.locator(CURRENT).locator("textarea")).to_be_focused()
    opened.keyboard.type(" Keep it.")
    press(opened, "Escape")
    expect(opened.locator(CURRENT)).to_be_focused()
    expect(opened.locator(CURRENT).locator("textarea")).to_be_hidden()
    expect(opened.locator(CURRENT).locator(".gist")).to_contain_text("Keep it.")


def test_while_writing_letters_are_letters_and_keys_go_with_alt(opened):
    press(opened, "w")
    expect(opened.locator("#words")).to_be_focused()
    opened.keyboard.type("keep ? 8 fab")
    expect(opened.locator("#words")).to_have_value("keep ? 8 fab")
    assert opened.evaluate(PAUSED)
    press(opened, "Alt+p")
    expect(opened.locator("#play")).to_have_text("Stop")
    press(opened, "Alt+p")
    expect(opened.locator("#words")).to_be_focused()
    expect(opened.locator("#words")).to_have_value("keep ? 8 fab")
    press(opened, "Alt+f")
    expect(opened.locator(CURRENT)).to_contain_text("sentence number 0")
    press(opened, "Alt+m")
    expect(opened.get_by_label("Tone")).to_be_focused()


def test_marks_begin_with_a_figure_and_go_on_with_enter(opened):
    press(opened, "1", "0", "Enter", "7", "Enter", "8")
    values = [field.input_value() for field in opened.locator("input[data-caption]").all()]
    assert values == ["10", "7", "8"]
    press(opened, "Enter")
    expect(opened.locator("#release")).to_be_focused()
    assert not Review.objects.get().is_released


def test_letters_in_a_mark_are_keys_since_a_mark_has_none(opened):
    press(opened, "m", "7", "p")
    expect(opened.locator("#play")).to_have_text("Stop")
    expect(opened.get_by_label("Tone")).to_have_value("7")


def test_release_asks_for_what_is_missing(opened):
    press(opened, "r")
    expect(opened.get_by_text("Tone still needs a mark.")).to_be_visible()
    expect(opened.get_by_label("Tone")).to_be_focused()


def test_the_sheet_of_keys_opens_by_key_and_by_click_and_reads_well(opened):
    press(opened, "?")
    sheet = opened.get_by_role("dialog", name="Keys of the desk")
    expect(sheet).to_be_visible()
    press(opened, "k")
    expect(opened.locator("#remarks [value=kept]:checked")).to_have_count(0)
    assert not faults(opened)
    press(opened, "Escape")
    expect(sheet).to_be_hidden()
    opened.get_by_role("button", name="Keys of the desk").click()
    expect(sheet).to_be_visible()


def test_letters_alone_can_be_switched_off_and_stay_off(opened, review):
    press(opened, "?")
    opened.get_by_label("Letters work without Alt").uncheck()
    press(opened, "Escape")
    open_review(opened, review)
    press(opened, "p", "f", "7")
    assert opened.evaluate(PAUSED)
    expect(opened.locator(CURRENT)).to_have_count(0)
    press(opened, "Alt+f")
    expect(opened.locator(CURRENT)).to_have_count(1)


def test_a_sign_that_needs_alt_graph_is_only_a_sign(opened):
    opened.focus("#words")
    opened.evaluate("""() => document.activeElement.dispatchEvent(new KeyboardEvent("keydown", {
        key: "@", code: "KeyP", altKey: true, modifierAltGraph: true, bubbles: true, cancelable: true,
    }))""")
    assert opened.evaluate(PAUSED)


@pytest.mark.parametrize("height", [420, 800])
def test_keys_that_come_early_scroll_nothing_and_are_not_lost(
    open_page, live_server, sign_in, teacher, review, height
):
    page = open_page(base_url=live_server.url, height=height)
    sign_in(page, teacher)
    held = []
    page.route("**/desk.js", lambda route: held.append(route))
    page.goto(reverse("review", args=[review.take_id]), wait_until="commit")
    page.locator("#remarks").wait_for()
    wait_until(page, lambda: held)
    press(page, " ", "ArrowRight", "9")
    assert page.evaluate("scrollY") == 0
    assert page.evaluate(PAUSED)
    held[0].continue_()
    expect(page.locator("#play")).to_have_text("Stop")
    expect(page.get_by_label("Tone")).to_have_value("9")
