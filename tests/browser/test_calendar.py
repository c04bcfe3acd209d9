"""The calendar's address on the account page: made, copied, read, renewed and ended."""

from urllib.parse import urlsplit

import icalendar
import pytest
from playwright.sync_api import expect

from tests.browser.axe import faults
from tests.browser.test_accessible import too_wide


@pytest.fixture
def made(sign_in, student, entry, requirement):
    """`made(page)`: the student presses the button; the page with the new address is open."""

    def opened(page):
        sign_in(page, student.user)
        page.goto("/account/")
        page.get_by_role("button", name="Make an address").click()
        expect(page.get_by_label("Address")).to_be_visible()
        return page

    return opened


def shown_on(page) -> str:
    return urlsplit(page.get_by_label("Address").input_value()).path


def test_the_button_copies_the_address_and_a_calendar_reads_it(made, page):
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    made(page).get_by_role("button", name="Copy the address").click()
    expect(page.get_by_role("status")).to_have_text("Copied.")
    copied = page.evaluate("navigator.clipboard.readText()")
    assert copied == page.get_by_label("Address").input_value()
    page.context.clear_cookies()
    answer = page.request.get(urlsplit(copied).path)
    names = {str(event["summary"]) for event in icalendar.Calendar.from_ical(answer.body()).events}
    assert names == {"Hand in: Lamp Etude", "Closing time: Youth orchestra"}


def test_where_the_browser_does_not_copy_the_field_is_marked(made, page):
    page.add_init_script("Object.defineProperty(navigator, 'clipboard', {value: undefined})")
    made(page).get_by_role("button", name="Copy the address").click()
    expect(page.get_by_role("status")).to_contain_text("copy it with your phone or keyboard")
    marked = page.evaluate("document.getSelection().toString()")
    assert marked == page.get_by_label("Address").input_value()


def test_renewed_and_ended_from_the_account_page(made, page):
    old = shown_on(made(page))
    page.get_by_role("link", name="Back to my account").click()
    page.get_by_role("button", name="Make a new address").click()
    new = shown_on(page)
    assert (page.request.get(old).status, page.request.get(new).status) == (404, 200)
    page.get_by_role("link", name="Back to my account").click()
    page.get_by_role("button", name="End the address").click()
    expect(page.get_by_role("button", name="Make an address")).to_be_visible()
    assert page.request.get(new).status == 404


@pytest.mark.parametrize("wide", ["page", "phone"])
def test_both_states_are_clean_and_fit(made, request, wide):
    page = made(request.getfixturevalue(wide))
    assert not faults(page) + too_wide(page)
    page.goto("/account/")
    expect(page.get_by_role("button", name="End the address")).to_be_visible()
    assert not faults(page) + too_wide(page)
