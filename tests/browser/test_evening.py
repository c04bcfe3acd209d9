"""An evening at the desk: take after take by keyboard alone, the next one's sound and music there already."""

import re

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from recordings.models import Review
from recordings.reviews.draft import draft_review
from recordings.reviews.save import ReviewText, save_review
from tests.browser.review_page import now_s, open_review, wait_until
from tests.recordings.measured_take import make_take
from tests.recordings.sounds import tone, write_sound
from tests.recordings.views.test_review_queue import second_requirement

TAKES = 5
MOST_KEYS = 2  # a take, beside its marks
MARKS = ("8", "Enter", "7", "Enter", "1", "0")
HEADING = "main h1"


@pytest.fixture
def evening(live_server, entry, requirement, tmp_path):
    """Takes of one student that wait, by deadline; the sound of each has a length of its own."""
    reviews = []
    for number in range(TAKES):
        own = second_requirement(requirement) if number else requirement
        sound = write_sound(tmp_path / f"{number}.wav", tone(16.5 + number)).read_bytes()
        take = make_take(entry, own, sound=sound)
        reviews.append(draft_review(take, take.analysis.result))
    return reviews


@pytest.fixture
def desk(page, sign_in, teacher, evening):
    sign_in(page, teacher)
    page.asked = []
    page.on("request", lambda request: page.asked.append((request.method, request.url)))
    return page


def sounds_asked_for(page, review) -> int:
    return sum(url.endswith(reverse("take_sound", args=[review.take_id])) for _method, url in page.asked)


def is_on(page, review) -> bool:
    address = reverse("review", args=[review.take_id])
    return page.url.endswith(address) and page.locator("#score[data-ready]").count() == 1


def middle_of(page, selector: str) -> tuple[float, float]:
    box = page.locator(selector).bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def mark(page) -> None:
    for key in MARKS:
        page.keyboard.press(key)


def ask(page) -> None:
    page.keyboard.press("r")
    expect(page.locator("#release-dialog")).to_be_visible()


def release(page) -> int:
    """By keyboard, waiting only for the question; how many keys it took."""
    ask(page)
    page.keyboard.press("Enter")
    return 2


def test_take_after_take_by_keyboard_alone(desk, evening):
    desk.goto(reverse("review_queue"))
    desk.get_by_role("link", name=re.compile("Open .* by")).first.focus()
    desk.keyboard.press("Enter")
    for review in evening:
        wait_until(desk, lambda one=review: is_on(desk, one))
        mark(desk)
        assert release(desk) <= MOST_KEYS
    expect(desk.get_by_text("Nothing else waits for your ear just now.")).to_be_visible()
    marks = [[int(mark.value) for mark in review.marks.all()] for review in Review.objects.all()]
    assert marks == [[8, 7, 10]] * TAKES
    assert all(review.is_released for review in Review.objects.all())


def test_the_next_take_is_there_before_it_is_asked_for(desk, evening):
    first, second = evening[:2]
    open_review(desk, first)
    wait_until(desk, lambda: sounds_asked_for(desk, second) == 1)
    desk.evaluate("window.neverLoadedAgain = true")
    mark(desk)
    release(desk)
    wait_until(desk, lambda: is_on(desk, second))
    assert desk.evaluate("window.neverLoadedAgain")
    assert sounds_asked_for(desk, second) == 1
    expect(desk.locator(HEADING)).to_be_focused()
    # Enough of it is there to play, before anybody asks for it.
    wait_until(desk, lambda: desk.evaluate("document.querySelector('#take-audio').readyState") >= 3)
    assert desk.evaluate("document.querySelector('#take-audio').src").startswith("blob:")
    desk.keyboard.press(" ")
    wait_until(desk, lambda: now_s(desk) > 0.1)
    wait_until(desk, lambda: desk.evaluate("document.querySelector('#take-audio').duration") == 17.5)
    expect(desk.locator(".ribbon.pitch .tick").first).to_be_visible()
    desk.go_back()
    expect(desk.get_by_text("Released on")).to_be_visible()


def test_keys_pressed_on_the_way_to_the_next_take_are_for_the_next(desk, evening):
    first, second = evening[:2]
    open_review(desk, first)
    mark(desk)
    held = []
    desk.route("**/review/release/", lambda route: held.append(route))
    release(desk)
    wait_until(desk, lambda: held)
    desk.keyboard.press("9")
    desk.keyboard.press(" ")
    held[0].continue_()
    wait_until(desk, lambda: is_on(desk, second))
    expect(desk.get_by_label("Tone")).to_have_value("9")
    expect(desk.locator("#play")).to_have_text("Stop")
    expect(desk.locator("#save-state")).to_contain_text("Saved at")
    assert first.marks.first().value == 8
    assert second.marks.first().value == 9


def test_nothing_is_written_into_a_review_on_its_way_out(desk, evening):
    open_review(desk, evening[0])
    mark(desk)
    held = []
    desk.route("**/review/release/", lambda route: held.append(route))
    release(desk)
    wait_until(desk, lambda: held)
    expect(desk.locator("#save-state")).to_have_text("Releasing…")
    desk.mouse.click(*middle_of(desk, "#words"))
    desk.keyboard.type("Too late.")
    expect(desk.locator("#words")).to_have_value("")
    held[0].abort()
    expect(desk.get_by_text("The studio did not answer, so this may not be released yet.")).to_be_visible()
    desk.unroute("**/review/release/")
    desk.get_by_role("button", name="Not yet").click()
    expect(desk.locator("#remarks > .remark")).to_have_count(evening[0].remarks.count())
    desk.locator("#words").fill("In time.")
    expect(desk.locator("#save-state")).to_contain_text("Saved at")


def test_an_enter_held_in_the_last_mark_does_not_release(desk, evening):
    open_review(desk, evening[0])
    mark(desk)
    desk.keyboard.press("Enter")
    expect(desk.locator("#release")).to_be_focused()
    desk.keyboard.down("Enter")
    expect(desk.locator("#release-dialog")).to_be_visible()
    for _ in range(3):
        desk.keyboard.down("Enter")  # a second "down" without an "up" is a repeat
    desk.keyboard.up("Enter")
    expect(desk.locator("#release-dialog")).to_be_visible()
    assert not Review.objects.filter(state="released").exists()


def test_without_a_connection_the_question_stays_and_a_second_try_releases(desk, evening):
    open_review(desk, evening[0])
    mark(desk)
    ask(desk)
    desk.context.set_offline(True)
    desk.keyboard.press("Enter")
    expect(desk.get_by_text("The studio did not answer, so this may not be released yet.")).to_be_visible()
    desk.context.set_offline(False)
    desk.get_by_role("dialog").get_by_role("button", name="Release").click()
    wait_until(desk, lambda: is_on(desk, evening[1]))


def test_a_newer_text_of_another_window_is_shown_instead_of_the_next_take(desk, evening):
    first = evening[0]
    open_review(desk, first)
    mark(desk)
    ask(desk)
    first.refresh_from_db()
    save_review(first, ReviewText(words="From the other desk."), edition=first.edition, window="other")
    desk.keyboard.press("Enter")
    expect(desk.locator("#conflict")).to_contain_text("From the other desk.")
    assert not Review.objects.filter(state="released").exists()


def test_who_was_signed_out_is_asked_to_sign_in(desk, evening):
    open_review(desk, evening[0])
    mark(desk)
    ask(desk)
    desk.context.clear_cookies(name="sessionid")
    desk.keyboard.press("Enter")
    desk.wait_for_url("**/accounts/login/**")
    assert [int(mark.value) for mark in evening[0].marks.all()] == [8, 7, 10]
