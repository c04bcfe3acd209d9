"""What a teacher types on the review page: saved, kept and released, and never lost."""

import re

from django.contrib.sessions.models import Session
from playwright.sync_api import expect

from recordings.models import Review
from recordings.reviews.save import ReviewText, save_review
from studio.models import Student
from tests.browser.review_page import open_review, opened, review, stored_words, wait_until
from tests.conftest import PASSWORD
from tests.recordings.measured_take import BAR_S

__all__ = ["opened", "review"]  # fixtures, found by their names


def test_another_person_at_this_computer_does_not_get_the_unsaved_words(opened, sign_in, director, review):
    opened.context.set_offline(True)
    opened.fill("#words", "Only mine.")
    expect(opened.locator("#save-state")).to_contain_text("No connection")
    opened.route("**/review/save/", lambda route: route.abort())
    opened.context.set_offline(False)
    sign_in(opened, director)
    open_review(opened, review)
    expect(opened.locator("#words")).to_have_value("")


def test_typing_is_saved_by_itself_and_own_remarks_take_the_bar_that_sounds(opened):
    opened.locator("#p1m3 .bar-hit").dispatch_event("click")
    opened.click("#play")
    opened.click("#add-remark")
    opened.keyboard.type("Lift the bow here.")
    expect(opened.locator("#save-state")).to_contain_text("Saved at")
    own = Review.objects.get().remarks.get(own_text="Lift the bow here.")
    assert (own.bars, own.start_s) == ("3", 0.5 + 4 * BAR_S)
    opened.locator(".remark").last.locator("[data-move='-1']").click()
    opened.fill("#words", "Better already.")
    expect(opened.locator("#save-state")).to_contain_text("Saved at")
    wait_until(opened, lambda: opened.evaluate("localStorage.length") == 0)
    assert Review.objects.get().remarks.count() == 4
    assert [each.pk for each in Review.objects.get().remarks.all()][2] == own.pk


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


def test_a_take_that_went_to_somebody_else_is_said_and_the_words_stay(opened, student, other_teacher):
    Student.objects.filter(pk=student.pk).update(teacher=other_teacher)
    opened.fill("#words", "Written while it was handed on.")
    expect(opened.locator("#save-state")).to_contain_text("no longer with you")
    assert "handed on" in opened.evaluate("Object.values(localStorage).join()")
    assert stored_words() == ""


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


# Typing and the click in one breath, so that no save of its own can come between.
TYPED_AND_ASKED = """() => {
  const words = document.querySelector("#words");
  words.value = "Nearer to the phone, please.";
  words.dispatchEvent(new Event("input", { bubbles: true }));
  document.querySelector("#ask-again").click();
}"""


def test_words_of_the_last_second_go_out_with_the_ask_for_another_recording(opened):
    opened.locator(".record-again summary").click()
    opened.select_option("#again", "quiet")
    opened.evaluate(TYPED_AND_ASKED)
    expect(opened.get_by_text(re.compile("The review is released"))).to_be_visible()
    sent = Review.objects.get()
    assert (sent.again, sent.words, sent.is_released) == ("quiet", "Nearer to the phone, please.", True)
    assert opened.evaluate("localStorage.length") == 0


def test_without_a_connection_nothing_is_asked_and_the_words_stay(opened):
    opened.locator(".record-again summary").click()
    opened.context.set_offline(True)
    opened.evaluate(TYPED_AND_ASKED)
    expect(opened.locator("#save-state")).to_contain_text("Please wait until your words are saved")
    expect(opened.locator("#words")).to_have_value("Nearer to the phone, please.")
    opened.context.set_offline(False)
    expect(opened.locator("#save-state")).to_contain_text("Saved at")
    assert not Review.objects.get().is_released
    opened.click("#ask-again")
    expect(opened.get_by_text(re.compile("The review is released"))).to_be_visible()
    assert stored_words() == "Nearer to the phone, please."
