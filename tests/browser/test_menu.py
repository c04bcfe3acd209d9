"""The head of every page: one line on a desk, one small bar with a menu on a phone."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

HEAD = "document.querySelector('.top').getBoundingClientRect().height"
LINES = """
() => new Set([...document.querySelectorAll(".top .name, .rooms li")]
  .map((one) => one.getBoundingClientRect()).map((box) => Math.round((box.top + box.bottom) / 20))).size
"""


def told_as_open(page) -> bool:
    """What the browser tells a screen reader of the button; it knows by itself what the button opens."""
    tree = page.context.new_cdp_session(page).send("Accessibility.getFullAXTree")["nodes"]
    button = next(node for node in tree if node.get("name", {}).get("value") == "Menu")
    return next(one["value"]["value"] for one in button["properties"] if one["name"] == "expanded")


@pytest.fixture
def director_on(sign_in, director):
    def opened(page):
        sign_in(page, director)
        page.goto("/readiness/")
        return page

    return opened


def test_all_rooms_in_one_line_on_a_desk(director_on, page):
    director_on(page)
    assert page.locator(".rooms a").count() == 12
    assert page.evaluate(LINES) == 1
    assert page.evaluate(HEAD) <= 56
    expect(page.get_by_role("button", name="Menu")).to_be_hidden()
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()


def test_in_german_they_stand_in_one_line_too(director_on, page, director, studio):
    type(studio).objects.update(name="Brightwater Studio")
    type(director).objects.filter(pk=director.pk).update(language="de")
    director_on(page)
    assert page.locator(".rooms a").first.text_content() == "Anzuhören"
    assert page.evaluate(LINES) == 1


def test_a_phone_gives_the_head_no_more_than_56_pixels(director_on, phone):
    director_on(phone)
    assert phone.evaluate(HEAD) <= 56
    expect(phone.get_by_role("link", name="Marking forms")).to_be_hidden()


def test_the_menu_opens_and_leads_on(director_on, phone):
    director_on(phone)
    phone.get_by_role("button", name="Menu").tap()
    assert not Axe().run(phone).response["violations"]
    phone.get_by_role("link", name="Marking forms").tap()
    phone.wait_for_url("**/marking-forms/")
    expect(phone.get_by_role("link", name="Marking forms")).to_be_hidden()


def test_the_menu_by_keyboard(director_on, phone):
    director_on(phone)
    menu = phone.get_by_role("button", name="Menu")
    menu.focus()
    assert not told_as_open(phone)
    phone.keyboard.press("Enter")
    assert told_as_open(phone)
    phone.keyboard.press("Tab")
    expect(phone.get_by_role("button", name="Close")).to_be_focused()
    phone.keyboard.press("Tab")
    expect(phone.get_by_role("link", name="To hear")).to_be_focused()
    phone.keyboard.press("Escape")
    expect(phone.get_by_role("link", name="To hear")).to_be_hidden()
    expect(menu).to_be_focused()


def test_a_long_name_stays_beside_the_menu(director_on, phone, studio):
    studio.name = "The Studio for Strings, Winds and Percussion of a Town with a Long Name"
    studio.save()
    director_on(phone)
    assert phone.evaluate(HEAD) <= 56
    assert phone.get_by_role("button", name="Menu").bounding_box()["x"] + 20 < 360
