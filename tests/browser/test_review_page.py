"""The teacher's page in a real browser: ribbons, the player along the score, a draft that is never lost."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.contrib.sessions.models import Session
from django.urls import reverse
from playwright.sync_api import expect

from recordings.models import Review
from recordings.reviews.draft import draft_review
from recordings.reviews.save import ReviewText, save_review
from tests.conftest import PASSWORD
from tests.recordings.measured_take import BAR_S, make_take
from tests.recordings.sounds import tone, write_sound

# A busy machine takes its time; what is asserted is what happens, not how fast.
expect.set_options(timeout=15_000)


@pytest.fixture
def review(live_server, entry, requirement, tmp_path):
    sound = write_sound(tmp_path / "take.wav", tone(16.5)).read_bytes()
    take = make_take(entry, requirement, sound=sound)
    return draft_review(take, take.analysis.result)


@pytest.fixture
def opened(page, sign_in, teacher, review):
    sign_in(page, teacher)
    return open_review(page, review)


def open_review(page, review):
    page.goto(reverse("review", args=[review.take_id]))
    page.wait_for_selector("#score[data-ready]")
    return page


# From the lowest ribbon of each line to the highest ink of the line below.
LEAST_GAP_PX = """
() => {
  const box = (element) => element.getBoundingClientRect();
  const lines = [...document.querySelectorAll("g.system")].map((line) => ({
    top: Math.min(...[...line.querySelectorAll("g.staff, g.ending, g.mNum")].map((one) => box(one).top)),
    bottom: Math.max(...[...line.querySelectorAll(".ribbon .ground")].map((one) => box(one).bottom)),
    music: Math.max(...[...line.querySelectorAll("g.staff, g.hairpin")].map((one) => box(one).bottom)),
    ribbon: Math.min(...[...line.querySelectorAll(".ribbon .ground")].map((one) => box(one).top)),
  }));
  const below = lines.slice(1).map((line, index) => line.top - lines[index].bottom);
  return Math.min(...below, ...lines.map((line) => line.ribbon - line.music));
}
"""


def now_s(page) -> float:
    return page.evaluate("document.querySelector('#take-audio').currentTime")


def wait_until(page, true) -> None:
    """Look again and again, in the page's own time, until `true()` holds."""
    for _ in range(150):
        if true():
            return
        page.wait_for_timeout(50)
    pytest.fail("it did not come true within 7.5 s")


def stored_words() -> str:
    return Review.objects.get().words


def test_one_tick_for_every_judged_note_of_the_pass_shown(opened):
    ticks = opened.locator(".ribbon.pitch .tick")
    expect(ticks).to_have_count(16)
    opened.select_option("#pass-select", "2")
    expect(ticks).to_have_count(14)
    expect(opened.locator(".ribbon.pitch .unsure")).to_have_count(1)
    expect(opened.locator(".ribbon.pitch .missing")).to_have_count(1)
    expect(opened.locator(".ribbon.pitch .wrong text")).to_have_text("D5")


def test_a_flat_note_hangs_below_the_line_under_its_head(opened):
    flat = opened.locator('.tick[data-note="p1m1n1"] .bar').bounding_box()
    line = opened.locator(".ribbon.pitch .middle").first.bounding_box()
    head = opened.locator("#p1m1n1 .notehead").bounding_box()
    assert flat["y"] >= line["y"] - 1
    assert flat["height"] > 5
    assert abs(flat["x"] + flat["width"] / 2 - head["x"] - head["width"] / 2) < 1.5


def test_ribbons_switch_one_by_one_and_never_touch_the_next_staff(opened):
    for kind in ("pitch", "pulse"):
        expect(opened.locator(f".ribbon.{kind}").first).to_be_visible()
    assert opened.evaluate(LEAST_GAP_PX) >= 4
    opened.uncheck("#show-pitch")
    expect(opened.locator(".ribbon.pitch")).to_have_count(0)
    expect(opened.locator(".ribbon.pulse").first).to_be_visible()


def test_a_ribbon_says_each_note_in_words_by_keyboard(opened):
    opened.locator('.ribbon.pitch .says[tabindex="0"]').focus()
    expect(opened.locator("#note-words")).to_have_text("Bar 1, beat 1, A4: 20 cents low")
    opened.keyboard.press("ArrowRight")
    expect(opened.locator("#note-words")).to_have_text("Bar 1, beat 2, B4: 4 cents high")


def test_a_click_on_a_bar_plays_from_there_and_marks_it(opened):
    opened.locator("#p1m3 .bar-hit").dispatch_event("click")
    expect(opened.locator("#now-bar")).to_have_text("bar 3")
    expect(opened.locator("#p1m3.now")).to_have_count(1)
    assert 0.5 + 4 * BAR_S <= now_s(opened) < 0.5 + 5 * BAR_S


def test_a_click_on_a_note_plays_from_it_in_the_pass_shown(opened):
    opened.select_option("#pass-select", "2")
    opened.locator("#p1m1n3 .notehead").dispatch_event("click")
    wait_until(opened, lambda: now_s(opened) >= 0.5 + 2 * BAR_S + 1.2)
    expect(opened.locator("#now-bar")).to_have_text("bar 1, second time")


def test_bars_not_asked_stand_back_without_ribbons_and_say_so(page, sign_in, teacher, review, requirement):
    requirement.from_bar, requirement.to_bar = "3", "4"
    requirement.save()
    analysis = review.take.analysis
    asked = ("bars", "notes")
    analysis.result |= {name: [one for one in analysis.result[name] if one["bar"] in "34"] for name in asked}
    analysis.save()
    sign_in(page, teacher)
    open_review(page, review)
    expect(page.locator("#p1m2.unasked title")).to_have_text("Bar 2 is not asked for here.")
    expect(page.locator("#p1m3 title")).to_have_count(0)
    asked_from = page.locator("#p1m3 .bar-hit").bounding_box()["x"]
    for part in ("ground", "band"):
        assert abs(page.locator(f".ribbon.pitch .{part}").bounding_box()["x"] - asked_from) < 1.5
    page.locator("#p1m2 .bar-hit").dispatch_event("click")
    expect(page.locator("#note-words")).to_have_text("Bar 2 is not asked for here.")
    assert now_s(page) == 0


def test_keys_play_and_walk_the_bars_but_not_while_typing(opened):
    opened.keyboard.press("ArrowRight")
    expect(opened.locator("#now-bar")).to_have_text("bar 1, first time")
    opened.keyboard.press("ArrowRight")
    opened.keyboard.press("ArrowRight")
    expect(opened.locator("#now-bar")).to_have_text("bar 1, second time")
    opened.keyboard.press(" ")
    expect(opened.locator("#play")).to_have_text("Stop")
    opened.keyboard.press(" ")
    expect(opened.locator("#play")).to_have_text("Play")
    opened.focus("#words")
    opened.keyboard.type("one two")
    expect(opened.locator("#play")).to_have_text("Play")


def test_the_pass_that_plays_is_the_pass_that_is_drawn(opened):
    shown = opened.locator(".ribbon.pitch .tick")
    for _ in range(4):
        opened.keyboard.press("ArrowRight")
    expect(opened.locator("#now-bar")).to_have_text("bar 2, second time")
    expect(shown).to_have_count(14)
    opened.keyboard.press("ArrowRight")
    expect(opened.locator("#now-bar")).to_have_text("bar 3")
    expect(shown).to_have_count(14)
    for _ in range(4):
        opened.keyboard.press("ArrowLeft")
    expect(opened.locator("#now-bar")).to_have_text("bar 1, first time")
    expect(shown).to_have_count(16)
    opened.select_option("#pass-select", "2")
    expect(shown).to_have_count(14)


def test_another_person_at_this_computer_does_not_get_the_unsaved_words(opened, sign_in, director, review):
    opened.context.set_offline(True)
    opened.fill("#words", "Only mine.")
    expect(opened.locator("#save-state")).to_contain_text("No connection")
    opened.route("**/review/save/", lambda route: route.abort())
    opened.context.set_offline(False)
    sign_in(opened, director)
    open_review(opened, review)
    expect(opened.locator("#words")).to_have_value("")


def test_hear_it_plays_the_remarks_span_and_stops(opened):
    opened.check("input[name=speed][value='0.75']")
    assert opened.evaluate("document.querySelector('#take-audio').playbackRate") == 0.75
    opened.check("input[name=speed][value='1']")
    opened.locator(".remark .hear").nth(1).click()
    wait_until(opened, lambda: now_s(opened) > 3.1)
    wait_until(opened, lambda: opened.evaluate("document.querySelector('#take-audio').paused"))
    assert 5.4 < now_s(opened) < 6.2


def test_typing_is_saved_by_itself_and_own_remarks_take_the_bar_that_sounds(opened):
    opened.locator("#p1m3 .bar-hit").dispatch_event("click")
    opened.click("#play")
    opened.click("#add-remark")
    opened.keyboard.type("Lift the bow here.")
    expect(opened.locator("#save-state")).to_contain_text("Saved at")
    own = Review.objects.get().remarks.get(text="Lift the bow here.")
    assert (own.bars, own.start_s) == ("3", 0.5 + 4 * BAR_S)
    opened.locator(".remark").last.locator("[data-move='-1']").click()
    opened.fill("#words", "Better already.")
    expect(opened.locator("#save-state")).to_contain_text("Saved at")
    wait_until(opened, lambda: opened.evaluate("localStorage.length") == 0)
    assert Review.objects.get().remarks.count() == 4
    assert [one.pk for one in Review.objects.get().remarks.all()][2] == own.pk


def test_words_survive_a_lost_connection_and_a_closed_window(opened, review):
    opened.context.set_offline(True)
    opened.fill("#words", "Typed in the train.")
    expect(opened.locator("#save-state")).to_contain_text("No connection")
    assert stored_words() == ""
    opened.goto("about:blank")
    opened.context.set_offline(False)
    open_review(opened, review)
    expect(opened.locator("#words")).to_have_value("Typed in the train.")
    expect(opened.locator("#save-state")).to_contain_text("Saved")
    assert stored_words() == "Typed in the train."


def test_a_saved_draft_whose_answer_got_lost_is_no_conflict(opened):
    lost = []

    def swallow(route):
        if lost:
            route.continue_()
        else:
            lost.append(route.fetch().status)
            route.abort()

    opened.route("**/review/save/", swallow)
    opened.click("#add-remark")
    opened.keyboard.type("Once only.")
    expect(opened.locator("#save-state")).to_contain_text("No connection")
    opened.keyboard.type(" Really.")
    expect(opened.locator("#save-state")).to_contain_text("Saved at")
    assert lost == [200]
    expect(opened.locator("#conflict")).to_be_hidden()
    assert Review.objects.get().remarks.filter(finding__isnull=True).get().text == "Once only. Really."


def test_words_survive_an_expired_sign_in(opened, teacher):
    Session.objects.all().delete()
    opened.fill("#words", "Typed after the session ended.")
    expect(opened.locator("#save-state")).to_contain_text("You have been signed out")
    with opened.context.expect_page() as popup:
        opened.locator("#save-state a").click()
    popup.value.fill("input[name=login]", teacher.email)
    popup.value.fill("input[name=password]", PASSWORD)
    popup.value.locator("input[name=password]").press("Enter")
    expect(popup.value.get_by_role("button", name="Sign out")).to_be_visible()
    popup.value.close()
    expect(opened.locator("#words")).to_have_value("Typed after the session ended.")
    expect(opened.locator("#save-state")).to_contain_text("Saved at")
    assert stored_words() == "Typed after the session ended."


def test_another_windows_text_is_shown_and_the_person_chooses(opened, review):
    review.refresh_from_db()
    save_review(review, ReviewText(words="From the other desk."), edition=review.edition, window="other")
    opened.fill("#words", "From this desk.")
    expect(opened.locator("#conflict")).to_contain_text("From the other desk.")
    expect(opened.locator("#words")).to_have_value("From this desk.")
    assert stored_words() == "From the other desk."
    opened.click("#keep-mine")
    expect(opened.locator("#save-state")).to_contain_text("Saved at")
    assert stored_words() == "From this desk."


def test_release_asks_for_missing_marks_then_once_for_certainty(opened, review):
    opened.click("#release")
    expect(opened.get_by_text("Tone still needs a mark.")).to_be_visible()
    for mark in review.marks.all():
        opened.fill(f"#mark-{mark.caption_id}", "8")
    opened.click("#release")
    expect(opened.locator("#release-dialog")).to_be_visible()
    expect(opened.locator("#release-marks")).to_have_text("Tone 8, Intonation 8, Musicality 8")
    opened.locator("#release-dialog").get_by_role("button", name="Release").click()
    expect(opened.get_by_text(re.compile("The review is released"))).to_be_visible()
    assert Review.objects.get().is_released


def test_fits_a_phone_with_music_engraved_for_it(phone, sign_in, teacher, review):
    sign_in(phone, teacher)
    open_review(phone, review)
    assert phone.evaluate("document.documentElement.scrollWidth") <= 360
    assert phone.evaluate("document.querySelector('#score > svg').viewBox.baseVal.width") <= 360
    expect(phone.locator(".ribbon.pitch .tick")).to_have_count(16)
    box = phone.locator("#player").bounding_box()
    assert box["y"] + box["height"] <= 781


def test_no_barrier_for_those_who_do_not_see_or_point(opened):
    opened.locator(".bar-by-bar summary").click()
    report = Axe().run(opened, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]})
    assert not report.response["violations"], report.generate_report()


def test_without_scripts_everything_but_playing_along_works(open_page, live_server, sign_in, teacher, review):
    page = open_page(base_url=live_server.url, java_script_enabled=False)
    sign_in(page, teacher)
    page.goto(reverse("review", args=[review.take_id]))
    for mark in review.marks.all():
        page.fill(f"#mark-{mark.caption_id}", "7")
    page.fill("#words", "By post.")
    page.locator("textarea[name=remark-own-text]").fill("One more.")
    page.locator("textarea[name=remark-own-text]").locator("..").locator("[data-field=bars]").fill("4")
    page.get_by_role("button", name="Save draft").click()
    expect(page.get_by_text("The draft is saved.")).to_be_visible()
    page.get_by_role("button", name="Release to the student").click()
    expect(page.get_by_text("One more.")).to_be_visible()
    page.get_by_role("button", name="Release", exact=True).click()
    stored = Review.objects.get()
    assert (stored.is_released, stored.words) == (True, "By post.")
    assert stored.remarks.get(text="One more.").bars == "4"
