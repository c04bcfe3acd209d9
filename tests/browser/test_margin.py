"""Notes at bars and playing along, in a real browser."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from repertoire.models import BarNote

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def notes(excerpt, teacher):
    first = BarNote.objects.create(
        excerpt=excerpt, author=teacher, kind="bowing", from_bar="2", to_bar="2", text="Near the frog."
    )
    last = BarNote.objects.create(
        excerpt=excerpt, author=teacher, kind="caution", from_bar="4", to_bar="4", text="No rush here."
    )
    return first, last


def middle_of_bar(page, bar_id: str) -> tuple[float, float]:
    box = page.evaluate(
        "id => { const b = document.querySelector(`[id='${id}'] .staff`).getBoundingClientRect();"
        " return [b.left + b.width / 2, b.top + b.height / 2]; }",
        bar_id,
    )
    return box[0], box[1]


def test_a_click_on_a_bar_marks_its_notes_and_starts_one_there(page, sign_in, teacher, excerpt, notes):
    sign_in(page, teacher)
    page.goto(reverse("excerpt_detail", args=[excerpt.pk]))
    page.mouse.click(*middle_of_bar(page, "p1m2"))
    expect(page.locator(".margin-line.here")).to_contain_text("Near the frog.")
    page.get_by_role("button", name="Write a note here").click()
    page.get_by_label("What to know").fill("Sing it first.")
    page.get_by_role("button", name="Save").click()
    page.wait_for_url("**/music/*/")
    assert BarNote.objects.get(text="Sing it first.").bars_text == "bar 2"


def test_bars_are_chosen_by_keyboard_and_on_a_phone(phone, sign_in, teacher, excerpt, notes):
    sign_in(phone, teacher)
    phone.goto(reverse("excerpt_detail", args=[excerpt.pk]))
    phone.get_by_label("Bar", exact=True).select_option("4")
    expect(phone.locator(".margin-line.here")).to_contain_text("No rush here.")
    expect(phone.locator("[data-bar-outline]")).to_have_count(1)
    assert phone.evaluate("document.documentElement.scrollWidth") <= 360


def test_a_chosen_bar_stays_outlined_when_the_music_is_drawn_anew(page, sign_in, teacher, excerpt, notes):
    sign_in(page, teacher)
    page.goto(reverse("excerpt_detail", args=[excerpt.pk]))
    page.get_by_label("Bar", exact=True).select_option("4")
    drawn_for = page.locator("[data-score]").get_attribute("data-width")
    page.set_viewport_size({"width": 700, "height": 900})
    expect(page.locator(f"[data-score]:not([data-width='{drawn_for}'])")).to_have_count(1)
    expect(page.locator("[data-bar-outline]")).to_have_count(1)


def test_playing_along_counts_in_circles_one_note_after_another_and_stops(page, sign_in, teacher, excerpt):
    page.add_init_script(
        """window.voices = []; const start = OscillatorNode.prototype.start;
        OscillatorNode.prototype.start = function (at) {
          window.voices.push([this.type, this.frequency.value, at]); return start.call(this, at); };
        window.circled = [];
        new MutationObserver(() => { const circle = document.querySelector("[data-note-circle]");
          const id = circle?.dataset.noteCircle;
          if (id && window.circled.at(-1) !== id) window.circled.push(id);
          if (window.circled.length >= 4) document.body.dataset.circled = "four";
        }).observe(document, { childList: true, subtree: true });"""
    )
    sign_in(page, teacher)
    page.goto(reverse("excerpt_detail", args=[excerpt.pk]))
    page.locator("[data-bpm]").evaluate("slider => { slider.value = slider.max; }")
    page.get_by_role("button", name="Play").click()
    expect(page.locator("[data-now]")).to_have_text("counting in")
    expect(page.locator("body")).to_have_attribute("data-circled", "four")
    circled = page.evaluate("window.circled")
    assert circled[:4] == ["p1m1n1", "p1m1n2", "p1m1n3", "p1m1n4"]
    page.keyboard.press("Escape")
    expect(page.get_by_role("button", name="Play")).to_be_visible()
    expect(page.locator("[data-note-circle]")).to_have_count(0)
    voices = page.evaluate("window.voices")
    tones = [voice for voice in voices if voice[0] == "custom"]
    clicks = [voice for voice in voices if voice[0] == "sine"]
    assert [round(tone[1], 1) for tone in tones[:3]] == [440.0, 493.9, 523.3]
    assert len(clicks) >= 5
    beat_s = 60 / 144
    assert tones[0][2] - clicks[0][2] == pytest.approx(4 * beat_s, abs=0.02)
    assert tones[1][2] - tones[0][2] == pytest.approx(beat_s, abs=0.005)
