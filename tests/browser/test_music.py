"""The printed music drawn to fit, and captions added row by row."""

import re

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from repertoire.models import Rubric

pytestmark = pytest.mark.django_db(transaction=True)


def test_music_is_drawn_to_fit_a_phone(phone, sign_in, teacher, excerpt):
    sign_in(phone, teacher)
    phone.goto(reverse("excerpt_detail", args=[excerpt.pk]))
    expect(phone.locator("[data-score]")).to_have_attribute("data-width", re.compile("^3[2-6]0$"))
    drawn = set(phone.eval_on_selector_all(".score g[id]", "groups => groups.map((group) => group.id)"))
    assert {note.note_id for note in excerpt.score.notes} <= drawn
    assert phone.evaluate("document.documentElement.scrollWidth") <= 360


def test_a_wider_window_gets_a_wider_drawing(page, sign_in, teacher, excerpt):
    page.set_viewport_size({"width": 700, "height": 800})
    sign_in(page, teacher)
    page.goto(reverse("excerpt_detail", args=[excerpt.pk]))
    expect(page.locator("[data-score]")).to_have_attribute("data-width", re.compile("^6[0-8]0$"))
    page.set_viewport_size({"width": 1280, "height": 800})
    expect(page.locator("[data-score]")).to_have_attribute("data-width", re.compile("^8\\d0$"))
    assert page.locator("[id=p1m1n1]").count() == 1


def test_captions_are_added_beyond_the_spare_rows(page, sign_in, director):
    sign_in(page, director)
    page.goto(reverse("rubric_add"))
    page.get_by_label("Name").fill("Hall form")
    page.locator("[name='captions-0-name']").fill("Rhythm")
    for _ in range(4):
        page.get_by_role("button", name="One more caption").click()
    page.locator("[name='captions-4-name']").fill("Style")
    page.get_by_role("button", name="Save").click()
    page.wait_for_url("**/marking-forms/*/")
    assert [caption.name for caption in Rubric.objects.get(name="Hall form").captions.all()] == [
        "Rhythm",
        "Style",
    ]
