"""The desk: all of a take on one screen, a remark a line, and on a phone one part at a time."""

import pytest
from playwright.sync_api import expect

from recordings.models import Review
from recordings.reviews.draft import draft_review
from repertoire.notation.read.reading import read_score
from tests.browser.axe import faults
from tests.browser.review_page import open_review, opened, review, wait_until
from tests.conftest import tune_musicxml
from tests.recordings.measured_take import BAR_S, make_take
from tests.recordings.sounds import tone, write_sound

__all__ = ["opened", "review"]  # fixtures, found by their names

BARS = 40
HEIGHT = "document.documentElement.scrollHeight"
PARTS = ("music", "words", "marks")
ON_SCREEN = """(element) => {
  const box = element.getBoundingClientRect();
  const across = box.left >= 0 && box.right <= innerWidth;
  return box.height > 0 && across && box.top >= 0 && box.bottom <= innerHeight;
}"""


@pytest.fixture
def long_review(live_server, entry, requirement, tmp_path):
    """A take of forty bars with seven findings, as many as are ever drafted."""
    excerpt = requirement.excerpt
    excerpt.musicxml = read_score(tune_musicxml(BARS // 4), filename="long.musicxml").musicxml
    excerpt.save()
    sound = write_sound(tmp_path / "take.wav", tone((BARS + 2) * BAR_S + 1)).read_bytes()
    take = make_take(entry, requirement, sound=sound, findings=7)
    return draft_review(take, take.analysis.result)


@pytest.fixture
def desk(open_page, live_server, sign_in, teacher, long_review):
    def laid(**shape):
        page = open_page(base_url=live_server.url, **shape)
        sign_in(page, teacher)
        return open_review(page, long_review)

    return laid


def test_forty_bars_seven_remarks_the_marks_and_the_release_are_on_one_screen(desk):
    page = desk(width=1280, height=800)
    assert page.locator("g.measure").count() == BARS
    assert page.evaluate(HEIGHT) < 1000
    for place in (
        "#play",
        "#two-back",
        "#release",
        "#words",
        "#save-state ~ #release",
        "input[data-caption]",
    ):
        for element in page.locator(place).all():
            assert element.evaluate(ON_SCREEN), place
    assert page.locator(".remark").count() == 7
    assert all(line.bounding_box()["height"] < 60 for line in page.locator(".remark").all())


def test_the_music_scrolls_in_its_own_pane_to_the_bar_that_sounds(desk):
    page = desk(width=1280, height=800)
    page.locator("#p1m39 .bar-hit").dispatch_event("click")
    expect(page.locator("#now-bar")).to_have_text("bar 39")
    wait_until(page, lambda: page.locator("#p1m39 .staff").first.evaluate(ON_SCREEN))
    assert page.evaluate("scrollY") == 0


@pytest.mark.parametrize("part", PARTS)
def test_a_phone_shows_one_part_at_a_time_and_none_is_four_screens_high(desk, part):
    page = desk(width=360, height=740, has_touch=True, is_mobile=True)
    page.click(f"#tab-{part}")
    shown = [name for name in PARTS if page.locator(f"#desk-{name}").is_visible()]
    assert shown == [part]
    assert page.evaluate(HEIGHT) < 4 * 740
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert page.locator("#play").evaluate(ON_SCREEN)


def test_the_tabs_of_a_phone_go_by_arrow_keys_and_the_music_comes_back_drawn(desk):
    page = desk(width=360, height=740, has_touch=True, is_mobile=True)
    page.focus("#tab-music")
    page.keyboard.press("ArrowLeft")
    expect(page.locator("#tab-marks")).to_be_focused()
    expect(page.locator("#desk-marks")).to_be_visible()
    page.keyboard.press("ArrowRight")
    expect(page.get_by_role("tab", name="Music", selected=True)).to_be_focused()
    expect(page.locator(".ribbon.pitch .tick").first).to_be_visible()


def test_a_missing_mark_is_asked_for_on_the_part_where_it_stands(desk):
    page = desk(width=360, height=740, has_touch=True, is_mobile=True)
    page.click("#tab-marks")
    page.click("#release")
    expect(page.get_by_text("Tone still needs a mark.")).to_be_visible()
    expect(page.get_by_label("Tone")).to_be_focused()


def test_a_remark_is_a_line_that_opens_and_says_what_was_typed(opened):
    first = opened.locator(".remark").first
    expect(first.locator("textarea")).to_be_hidden()
    first.locator("summary").first.click()
    first.locator("textarea").fill("Lower the first finger.")
    expect(first.locator(".gist")).to_have_text("Lower the first finger.")
    expect(first.get_by_role("radio", name="keep", exact=True)).to_be_checked()
    first.locator("summary").first.click()
    expect(first.locator("textarea")).to_be_hidden()
    opened.locator(".remark").nth(1).get_by_title("leave out").click()
    expect(opened.locator("#save-state")).to_contain_text("Saved at")
    stored = [(remark.text, remark.verdict) for remark in Review.objects.get().remarks.all()[:2]]
    assert stored == [("Lower the first finger.", "kept"), ("Bar 2: sentence number 1.", "dropped")]


def test_why_a_mark_is_suggested_shows_while_it_is_given(opened):
    why = opened.locator(".mark").first.locator(".mark-why")
    assert why.bounding_box()["width"] <= 1
    opened.focus("input[data-caption]")
    assert why.bounding_box()["width"] > 100
    assert why.evaluate(ON_SCREEN)


def test_enter_in_a_field_saves_and_sends_nothing(opened):
    opened.locator(".remark summary").first.click()
    opened.locator("[data-field=bars]").first.press("Enter")
    expect(opened.locator("#save-state")).to_contain_text("Saved at")
    assert not Review.objects.get().is_released


@pytest.mark.parametrize("shape", [{}, {"width": 360, "height": 740, "has_touch": True, "is_mobile": True}])
def test_axe_finds_nothing_on_any_part(desk, shape):
    page = desk(**shape)
    for part in PARTS:
        if page.locator(f"#tab-{part}").is_visible():
            page.click(f"#tab-{part}")
        # From the top: what a long part has under the bar with the sound is scrolled to before it is tapped.
        page.evaluate("scrollTo(0, 0)")
        assert not faults(page), part


def test_two_seconds_back(opened):
    opened.evaluate("document.querySelector('#take-audio').currentTime = 5")
    opened.click("#two-back")
    assert opened.evaluate("document.querySelector('#take-audio').currentTime") == 3
