"""Practising on a phone: the music first, and in thumb's reach what plays it."""

import re

import pytest
from django.urls import reverse
from playwright.sync_api import expect

pytestmark = pytest.mark.django_db(transaction=True)

VOICES = """
window.voices = []; const start = OscillatorNode.prototype.start;
OscillatorNode.prototype.start = function (at) {
  window.voices.push([this.type, this.frequency.value, at]);
  const tones = window.voices.filter((voice) => voice[0] === "custom").length;
  document.body.dataset.tones = tones;
  return start.call(this, at); };
"""


@pytest.fixture
def practising(phone, sign_in, student_user, entry, excerpt):
    """`practising("?loop=1")`: the music's page on the student's phone."""
    phone.add_init_script(VOICES)
    sign_in(phone, student_user)

    def opened(query: str = ""):
        phone.goto(reverse("excerpt_detail", args=[excerpt.pk]) + query)
        phone.locator("[data-play-along]:not([hidden])").wait_for()
        return phone

    return opened


def shown_bpm(page) -> str:
    return page.locator("[data-bpm-shown]").inner_text()


def test_the_music_comes_first_and_the_controls_are_in_reach(practising, requirement):
    page = practising()
    score = page.locator("[data-score]").bounding_box()
    assert score["y"] < 300
    for name in ("Play", "Slower", "Faster", "Loop"):
        box = page.get_by_role("button", name=name, exact=True).bounding_box()
        assert box["height"] >= 44
        assert 780 * 0.6 < box["y"] < 780 - box["height"] + 1
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


def test_tempo_goes_up_and_down_without_asking_the_server_again(practising, requirement):
    page = practising()
    asked = []
    page.on("request", lambda request: asked.append(request.url) if "/times.json" in request.url else None)
    page.get_by_role("button", name="Play", exact=True).click()
    expect(page.locator("[data-now]")).to_contain_text("bar")
    page.get_by_role("button", name="Slower").click()
    assert shown_bpm(page) == "94"
    page.get_by_role("button", name="Faster").click()
    page.get_by_role("button", name="Faster").click()
    assert shown_bpm(page) == "98"
    page.get_by_role("button", name="Stop").click()
    assert len(asked) == 1


def test_a_link_sets_bars_tempo_and_loop(practising, requirement):
    page = practising("?from=2&to=2&bpm=60&target=96&loop=1")
    assert shown_bpm(page) == "60"
    expect(page.get_by_role("button", name="Loop", exact=True)).to_have_attribute("aria-pressed", "true")
    page.locator("[data-bpm]").evaluate("slider => { slider.value = slider.max; }")
    page.get_by_role("button", name="Play", exact=True).click()
    # Four notes and once again the first: the loop goes round.
    expect(page.locator("body")).to_have_attribute("data-tones", re.compile("^([5-9]|[0-9]{2,})$"))
    tones = [voice for voice in page.evaluate("window.voices") if voice[0] == "custom"]
    assert round(tones[4][1], 1) == round(tones[0][1], 1)
    beat_s = tones[1][2] - tones[0][2]
    assert tones[4][2] - tones[3][2] == pytest.approx(beat_s, abs=0.002)


def test_a_ladder_climbs_by_hand(practising, requirement):
    page = practising()
    page.get_by_text("More", exact=True).click()
    page.get_by_role("button", name="Begin the ladder").click()
    begun = int(shown_bpm(page))
    assert begun == round(96 * 0.6)
    for _ in range(3):
        page.get_by_role("button", name=re.compile("calm")).click()
    assert int(shown_bpm(page)) == begun + 4


def test_a_drone_and_the_tuning_note_keep_to_the_chosen_a(practising, requirement, studio):
    studio.tuning_a_hz = 442
    studio.save()
    page = practising()
    page.get_by_text("More", exact=True).click()
    page.get_by_role("button", name="Tuning note A").click()
    expect(page.locator("body")).to_have_attribute("data-tones", "1")
    assert page.evaluate("window.voices[0][1]") == pytest.approx(442)
    page.get_by_role("button", name="Tuning note A").click()
    page.get_by_label("My A").fill("415")
    page.get_by_label("Drone on").select_option(label="A")
    page.get_by_role("button", name="Drone", exact=True).click()
    expect(page.locator("body")).to_have_attribute("data-tones", "2")
    assert page.evaluate("window.voices[1][1]") == pytest.approx(415 / 2, abs=0.01)
    page.reload()
    page.get_by_text("More", exact=True).click()
    expect(page.get_by_label("My A")).to_have_value("415")


def test_from_the_music_to_the_recorder(practising, requirement, entry):
    page = practising()
    page.get_by_role("link", name="Record").click()
    page.wait_for_url(f"**/entries/{entry.pk}/requirements/{requirement.pk}/*")
