"""A released answer on a phone: what it names is heard, sounded and practised from its own card."""

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from recordings.models import Mark, Remark, Review
from tests.recordings.measured_take import make_take

pytestmark = pytest.mark.django_db(transaction=True)

VOICES = """
const start = OscillatorNode.prototype.start;
OscillatorNode.prototype.start = function (at) {
  const before = Number(document.body.dataset.tones ?? 0);
  document.body.dataset.tones = before + (this.type === "custom" ? 1 : 0);
  return start.call(this, at); };
"""


@pytest.fixture
def answer(phone, sign_in, student_user, teacher, entry, requirement):
    take = make_take(entry, requirement)
    review = Review.objects.create(
        take=take, reviewer=teacher, words="Sing on.", released_at=timezone.now(), state=Review.State.RELEASED
    )
    for caption in requirement.rubric.captions.all():
        Mark.objects.create(review=review, caption=caption, value=7)
    kept = {"review": review, "verdict": Remark.Verdict.KEPT}
    Remark.objects.create(**kept, bars="2, 4", start_s=3.0, end_s=15.5, own_text="These two come early.")
    Remark.objects.create(**kept, own_text="Well in tune.", finding={"strength": True})
    phone.add_init_script(VOICES)
    sign_in(phone, student_user)
    phone.goto(reverse("take_detail", args=[take.pk]))
    return phone


def test_words_come_first_and_strengths_are_kept(answer):
    text = answer.locator("main").inner_text()
    places = [text.index(part) for part in ("Sing on.", "of 10", "These two come early.", "Keep")]
    assert places == sorted(places)
    assert "Well in tune." in text[places[-1] :]
    assert answer.locator(".finding picture").count() == 2
    assert answer.evaluate("document.documentElement.scrollWidth") <= 360


def test_its_bars_are_heard_as_printed(answer):
    answer.get_by_role("button", name="Hear it sounded").click()
    expect(answer.locator("body")).to_have_attribute("data-tones", "4")
    answer.get_by_role("button", name="Stop").click()
    expect(answer.get_by_role("button", name="Hear it sounded")).to_be_visible()


def test_practise_this_opens_the_music_with_loop_and_tempo_set(answer):
    answer.get_by_role("link", name="Practise this").click()
    answer.locator("[data-play-along]:not([hidden])").wait_for()
    assert answer.locator("[data-bpm-shown]").inner_text() == "67"
    expect(answer.get_by_role("button", name="Loop")).to_have_attribute("aria-pressed", "true")
    assert answer.locator("[data-from]").input_value() == "2"


def test_asking_begins_at_its_bar(answer):
    answer.get_by_role("link", name="Ask").click()
    assert answer.locator("[name=from_bar]").input_value() == "2"
