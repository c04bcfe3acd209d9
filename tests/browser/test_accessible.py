"""Every page: nothing axe finds fault with, by day and in the dark, and nothing wider than a phone.

The desk reads English and the phone German, whose words are longer.
"""

import pytest
from django.urls import resolve

from tests.access_table import TABLE
from tests.browser.axe import faults
from tests.browser.demo_pages import NO_PAGES, PAGES, PUBLIC, walk

PHONE = {"width": 360, "height": 780, "is_mobile": True, "has_touch": True, "locale": "de-DE"}


# Elements of the page that reach past its right edge, but for what lies in a box that scrolls by itself.
PAST_THE_EDGE = """
() => {
  const scrolls = (element) => /auto|scroll|hidden|clip/.test(getComputedStyle(element).overflowX);
  const inside = (box) => box !== document.body && (scrolls(box) || inside(box.parentElement));
  return [...document.querySelectorAll("body > * *")]
    .filter((element) => element.getBoundingClientRect().width && !inside(element))
    .filter((element) => element.getBoundingClientRect().right > window.innerWidth + 1)
    .map((element) => element.outerHTML.slice(0, 120));
}
"""


def too_wide(page) -> list[str]:
    scrolled = page.evaluate("document.documentElement.scrollWidth > window.innerWidth + 1")
    return page.evaluate(PAST_THE_EDGE)[:3] or (["the page"] if scrolled else [])


@pytest.mark.parametrize("who", PAGES)
def test_pages_on_a_desk(enter, who):
    page = enter(who)
    seen = {address: faults(page) for address in walk(page, who)}
    assert not {address: found for address, found in seen.items() if found}


@pytest.mark.parametrize("who", PAGES)
def test_pages_on_a_phone(enter, who):
    page = enter(who, **PHONE)
    assert page.locator("html").get_attribute("lang") == "de"
    seen = {address: (too_wide(page), faults(page)) for address in walk(page, who)}
    assert not {address: found for address, found in seen.items() if any(found)}


def test_pages_before_signing_in(demo, open_page):
    desk, phone = open_page(base_url=demo.address), open_page(base_url=demo.address, **PHONE)
    for address in PUBLIC:
        desk.goto(address)
        phone.goto(address)
        assert not faults(desk) + faults(phone) + too_wide(phone), address


@pytest.mark.parametrize("shape", [{}, PHONE], ids=["desk", "phone"])
def test_the_page_of_all_components(live_server, studio, settings, open_page, shape):
    settings.DEBUG = True
    page = open_page(base_url=live_server.url, **shape)
    page.goto("/components/")
    assert not faults(page) + too_wide(page)


def test_no_page_is_passed_over():
    asked = [line.split() for line in TABLE.strip().splitlines()]
    there = {name for method, name, _objects, *answers in asked if method == "GET" and "200" in answers}
    addresses = [*PUBLIC, *(address for pages in PAGES.values() for address in pages)]
    opened = {resolve(address.partition("?")[0]).url_name for address in addresses if address != "/nowhere/"}
    assert there - NO_PAGES <= opened
