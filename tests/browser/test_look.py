"""What the stylesheets come to in a browser: by day, in the dark, on paper, and without the type."""

import pytest

from tests.browser.test_accessible import PHONE, too_wide
from tests.browser.test_menu import HEAD, LINES

# Of a page with printed music: its ground, its ink, the paper of the music and the ink of its notes.
TAKEN = """
() => {
  const of = (place, what) => getComputedStyle(document.querySelector(place))[what];
  const page = [of("html", "backgroundColor"), of("h1", "color")];
  return [...page, of(".score", "backgroundColor"), of(".score svg", "color")];
}
"""


def brightness(colour: str) -> int:
    return sum(int(part) for part in colour.removeprefix("rgb(").removesuffix(")").split(","))


@pytest.fixture
def music(sign_in, director, excerpt):
    def opened(page):
        sign_in(page, director)
        page.goto(f"/music/{excerpt.pk}/")
        page.locator(".score svg").first.wait_for()
        return page

    return opened


@pytest.mark.parametrize("light", ["light", "dark"])
def test_music_lies_on_the_paper_of_the_hour(music, page, light):
    page.emulate_media(color_scheme=light)
    ground, ink, paper, notes = map(brightness, music(page).evaluate(TAKEN))
    assert (ground < ink and paper < notes) == (light == "dark")


def test_print_is_dark_on_white_whatever_the_light(music, page):
    page.emulate_media(color_scheme="dark", media="print")
    ground, ink, paper, notes = map(brightness, music(page).evaluate(TAKEN))
    assert ground == paper == 3 * 255
    assert max(ink, notes) < 200


def test_the_type_that_comes_with_the_program_is_used(music, page):
    page = music(page)
    faces = page.evaluate(
        "async () => [...await document.fonts.ready].map((face) => [face.family, face.status])"
    )
    loaded = {name for name, state in faces if state == "loaded"}
    assert {name.strip('"') for name in loaded} >= {"Fairhearing Serif", "Fairhearing Sans"}


@pytest.mark.parametrize("shape", [{}, PHONE], ids=["desk", "phone"])
def test_a_page_whose_type_never_comes_reads_well(music, open_page, live_server, shape):
    page = open_page(base_url=live_server.url, **shape)
    page.route("**/*.woff2", lambda route: route.abort())
    page = music(page)
    assert not too_wide(page)
    assert page.evaluate(HEAD) <= 56
    assert page.evaluate(LINES) == 1 or shape
