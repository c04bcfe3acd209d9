"""A measurement set right at the desk and measured again by a real worker; words taken from one's phrases."""

from playwright.sync_api import expect

from recordings.models import Phrase
from tests.browser.axe import faults
from tests.browser.review_page import open_review, opened, review

__all__ = ["opened", "review"]  # fixtures, found by their names

TAKE = "/takes/3/review/"  # as printed, both repeats played
LINES = ".strip-lines [role=slider]"


def test_a_bar_line_is_dragged_and_the_bars_are_chosen_and_all_of_it_is_taken_back(enter):
    page = enter("teacher", width=1280, height=800)
    page.goto(TAKE)
    page.wait_for_selector("#score[data-ready]")
    page.fill("#words", "Typed before.")
    page.locator("h1").focus()
    page.keyboard.press("c")
    expect(page.locator("#correct-order")).to_be_focused()
    assert faults(page) == []

    third = page.locator(LINES).nth(2)
    box = third.bounding_box()
    before = float(third.get_attribute("aria-valuenow"))
    middle = box["x"] + box["width"] / 2
    page.mouse.move(middle, box["y"] + 30)
    page.mouse.down()
    page.mouse.move(middle + 40, box["y"] + 30, steps=4)
    page.mouse.up()
    moved = float(third.get_attribute("aria-valuenow"))
    assert 0.2 < moved - before < 0.8
    second = page.locator(LINES).nth(1)
    second.focus()
    page.keyboard.press("Shift+ArrowRight")
    expect(page.locator("#correct-lines [name=line_at]")).to_have_count(2)
    page.select_option("#correct-order", index=2)
    page.click("text=Measure again like this")

    told = page.locator(".corrected")
    expect(told).to_contain_text("played: bars 1-16", timeout=60_000)
    expect(told).to_contain_text("bar 3 begins at")
    page.wait_for_selector("#score[data-ready]")
    expect(page.locator("#words")).to_have_value("Typed before.")
    expect(page.locator(".remark .gist").first).not_to_have_text("")

    page.locator("#correct > summary").click()
    page.click("text=Back to what was measured")
    expect(told).to_have_count(0, timeout=60_000)
    expect(page.locator("#words")).to_have_value("Typed before.")


def test_words_are_taken_from_ones_phrases_with_the_bars_filled_in(page, sign_in, teacher, review):
    Phrase.objects.create(owner=teacher, text="Sing {bars} first.")
    sign_in(page, teacher)
    open_review(page, review)
    remark = page.locator(".remark").first
    bars = remark.locator("[data-field=bars]").input_value()
    page.keyboard.press("f")
    page.keyboard.press("s")
    expect(remark.locator(".phrases button")).to_be_focused()
    page.keyboard.press("Enter")
    expect(remark.locator("textarea")).to_have_value(f"Sing bar {bars} first.")
    expect(remark.locator("[data-field=verdict][value=kept]")).to_be_checked()


def test_what_is_called_wrong_leads_to_the_field_that_mends_it(opened):
    remark = opened.locator(".remark").first
    remark.locator(".remark-open > summary").click()
    remark.locator(".wrong > summary").click()
    expect(remark.locator(".mend")).to_be_hidden()
    for reason, field in (
        ("style", None),
        ("other_form", "#correct-order"),
        ("bars_misplaced", ".strip-lines [role=slider]"),
        ("note_was_right", "[name=right]"),
    ):
        remark.locator(f"[value='wrong:{reason}']").check()
        if field is None:
            expect(remark.locator(".mend")).to_be_hidden()
            continue
        remark.locator(".mend").click()
        expect(opened.locator(field).first).to_be_focused()
