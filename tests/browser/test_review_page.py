"""The teacher's page in a real browser: ribbons, the player along the score, a draft that is never lost."""

from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from playwright.sync_api import expect

from recordings.models import Review
from tests.browser.review_page import now_s, open_review, opened, review, wait_until
from tests.recordings.measured_take import BAR_S

__all__ = ["opened", "review"]  # fixtures, found by their names

# From the lowest ribbon of each line to the highest ink of the line below.
LEAST_GAP_PX = """
() => {
  const box = (element) => element.getBoundingClientRect();
  const lines = [...document.querySelectorAll("g.system")].map((line) => ({
    top: Math.min(...[...line.querySelectorAll("g.staff, g.ending, g.mNum")].map((drawn) => box(drawn).top)),
    bottom: Math.max(...[...line.querySelectorAll(".ribbon .ground")].map((drawn) => box(drawn).bottom)),
    music: Math.max(...[...line.querySelectorAll("g.staff, g.hairpin")].map((drawn) => box(drawn).bottom)),
    ribbon: Math.min(...[...line.querySelectorAll(".ribbon .ground")].map((drawn) => box(drawn).top)),
  }));
  const below = lines.slice(1).map((line, index) => line.top - lines[index].bottom);
  return Math.min(...below, ...lines.map((line) => line.ribbon - line.music));
}
"""


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
    opened.locator('.ribbon.pitch .labelled[tabindex="0"]').focus()
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
    analysis.result |= {name: [row for row in analysis.result[name] if row["bar"] in "34"] for name in asked}
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


def test_hear_it_plays_the_remarks_span_and_stops(opened):
    opened.check("input[name=speed][value='0.75']")
    assert opened.evaluate("document.querySelector('#take-audio').playbackRate") == 0.75
    opened.check("input[name=speed][value='1']")
    opened.locator(".remark .hear").nth(1).click()
    wait_until(opened, lambda: now_s(opened) > 3.1)
    wait_until(opened, lambda: opened.evaluate("document.querySelector('#take-audio').paused"))
    assert 5.4 < now_s(opened) < 6.2


def test_hear_it_plays_each_place_of_a_finding_and_not_what_lies_between(page, sign_in, teacher, review):
    remark = review.remarks.first()
    remark.finding["places"] = [
        {"bar": "1", "start_s": 0.5, "end_s": 1.2, "note_ids": []},
        {"bar": "4", "start_s": 9.0, "end_s": 9.7, "note_ids": []},
    ]
    remark.save()
    sign_in(page, teacher)
    open_review(page, review)
    button = page.locator(".remark .hear").first
    expect(button).to_have_text("Hear 2 places")
    page.evaluate("""() => {
        const audio = document.querySelector("#take-audio");
        window.heard = [];
        audio.addEventListener("timeupdate", () => window.heard.push(audio.currentTime));
    }""")
    button.click()
    wait_until(
        page, lambda: now_s(page) > 9.6 and page.evaluate("document.querySelector('#take-audio').paused")
    )
    heard = page.evaluate("window.heard")
    assert not [at for at in heard if 2.0 < at < 8.9]
    assert [at for at in heard if 0.5 <= at <= 1.5]


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
    assert stored.remarks.get(own_text="One more.").bars == "4"


def test_without_scripts_unsaved_words_go_out_with_the_ask_for_another_recording(
    open_page, live_server, sign_in, teacher, review
):
    page = open_page(base_url=live_server.url, java_script_enabled=False)
    sign_in(page, teacher)
    page.goto(reverse("review", args=[review.take_id]))
    page.fill("#words", "Nearer to the phone, please.")
    page.locator(".record-again summary").click()
    page.get_by_role("button", name="Ask for another recording").click()
    expect(page.get_by_text("The review is released")).to_be_visible()
    sent = Review.objects.get()
    assert (sent.again, sent.words) == ("quiet", "Nearer to the phone, please.")
