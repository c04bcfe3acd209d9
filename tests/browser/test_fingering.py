"""The position plan in a real browser: choosing, showing, on a phone, without scripts."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from repertoire.models import Fingering

from .axe import faults
from .test_accessible import too_wide

pytestmark = pytest.mark.django_db(transaction=True)

FITS = """() => {
  const frame = document.querySelector("[data-score]"), style = getComputedStyle(frame);
  const room = frame.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight);
  return Math.abs(room - Number(frame.dataset.width)) < 20;
}"""


def draw_at(page, width):
    """Until the music is drawn for this window, whatever was being drawn before."""
    page.set_viewport_size({"width": width, "height": 900})
    page.wait_for_function(FITS)


def test_a_teacher_chooses_a_finger_and_shows_the_plan(page, sign_in, teacher, excerpt):
    sign_in(page, teacher)
    page.goto(reverse("excerpt_detail", args=[excerpt.pk]))
    page.get_by_role("link", name="Fingering").click()
    page.get_by_role("link", name="Choose fingers in bar 1").click()
    page.get_by_label("Finger for note 1, A 4").select_option("4")
    page.get_by_role("button", name="Plan around these").click()
    expect(page.get_by_text("Your choices in bar 1 are kept")).to_be_visible()
    assert list(Fingering.objects.get().locks.values()) == [[4, None]]
    page.get_by_role("button", name="Show it to everyone who plays this").click()
    expect(page.get_by_text("Everyone who plays this music now sees this fingering.")).to_be_visible()
    page.goto(reverse("excerpt_detail", args=[excerpt.pk]))
    expect(page.locator(".score .fing").first).to_be_attached()
    expect(page.locator(".margin-line").first).to_contain_text("Begin in position I.")


def test_fingers_shown_after_the_music_was_looked_at_are_drawn_at_every_width(
    page, sign_in, teacher, excerpt
):
    """The browser has drawings of both widths from before and must not show them again."""
    sign_in(page, teacher)
    music = reverse("excerpt_detail", args=[excerpt.pk])
    page.goto(music)
    for width in (700, 1280):
        draw_at(page, width)
    page.goto(reverse("fingering", args=[excerpt.pk]))
    page.get_by_role("button", name="Show it to everyone who plays this").click()
    page.goto(music)
    draw_at(page, 700)
    expect(page.locator(".score .fing").first).to_be_attached()


def test_the_page_fits_a_phone_and_has_no_grave_fault(phone, sign_in, teacher, excerpt):
    sign_in(phone, teacher)
    phone.goto(reverse("fingering", args=[excerpt.pk]) + "?bar=1")
    assert not too_wide(phone)
    assert not faults(phone)


def test_it_has_no_grave_fault_on_a_desk(page, sign_in, teacher, excerpt):
    sign_in(page, teacher)
    page.goto(reverse("fingering", args=[excerpt.pk]) + "?bar=1")
    assert not faults(page)
