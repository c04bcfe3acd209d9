"""The main pages of the demo: no serious fault for assistive technology, nothing wider than a phone."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.demo_pages import PAGES, PUBLIC, walk

GRAVE = {"serious", "critical"}
# Who goes from landmark to landmark never meets what lies outside; axe calls that moderate.
LANDMARKS = {"region", "landmark-one-main", "landmark-unique", "landmark-no-duplicate-banner"}
PHONE = {"width": 360, "height": 780, "is_mobile": True, "has_touch": True}


def grave_faults(page) -> list[str]:
    """What axe calls serious or critical, or outside the landmarks, each with the first place seen."""
    violations = Axe().run(page).response["violations"]
    return [
        f"{fault['id']}: {fault['nodes'][0]['target']} {fault['nodes'][0]['html'][:120]}"
        for fault in violations
        if fault["impact"] in GRAVE or fault["id"] in LANDMARKS
    ]


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
def test_pages_have_no_grave_fault(enter, who):
    page = enter(who)
    seen = {address: grave_faults(page) for address in walk(page, who)}
    assert not {address: faults for address, faults in seen.items() if faults}


@pytest.mark.parametrize("who", PAGES)
def test_pages_fit_a_phone(enter, who):
    page = enter(who, **PHONE)
    seen = {address: (too_wide(page), grave_faults(page)) for address in walk(page, who)}
    assert not {address: faults for address, faults in seen.items() if any(faults)}


@pytest.mark.parametrize("address", PUBLIC)
def test_pages_before_signing_in(demo, open_page, address):
    page = open_page(base_url=demo.address, **PHONE)
    page.goto(address)
    assert not too_wide(page)
    assert not grave_faults(page)
