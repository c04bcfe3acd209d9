"""Choosing a part, correcting a score and attaching a page: by phone, with nothing grave for axe."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from repertoire.models import Attachment, EarlierScore, Excerpt
from tests.browser.axe import faults
from tests.browser.test_accessible import too_wide
from tests.conftest import tune_musicxml
from tests.repertoire.notation.foreign_makers import KERN
from tests.repertoire.views.test_excerpt_pages import photo

pytestmark = pytest.mark.django_db(transaction=True)


def file(name: str, data: bytes) -> dict:
    return {"name": name, "mimeType": "application/octet-stream", "buffer": data}


def sound(page) -> None:
    assert not faults(page)
    assert not too_wide(page)


def test_a_part_is_chosen_once(phone, sign_in, director):
    sign_in(phone, director)
    phone.goto(reverse("excerpt_add"))
    phone.locator("[name=file]").set_input_files(file("two.krn", KERN))
    phone.locator("[name=instrument]").select_option("cello")
    phone.locator("[name=marked_bpm]").fill("60")
    phone.get_by_role("button", name="Add to the library").click()
    expect(phone.get_by_label("Cello: 2 bars, 4 notes")).to_be_visible()
    sound(phone)
    phone.get_by_label("Cello: 2 bars, 4 notes").check()
    phone.get_by_role("button", name="Add to the library").click()
    expect(phone.get_by_role("heading", name="Two Candles")).to_be_visible()
    assert Excerpt.objects.get().score.part_name == "Cello"


def test_a_correction_is_seen_before_it_is_kept(phone, sign_in, director, excerpt):
    sign_in(phone, director)
    phone.goto(reverse("excerpt_correct", args=[excerpt.pk]))
    sound(phone)
    data = tune_musicxml().replace(b"<step>B</step>", b"<step>B</step><alter>-1</alter>", 1)
    phone.locator("[name=file]").set_input_files(file("mended.musicxml", data))
    phone.get_by_role("button", name="Show what changes").click()
    expect(phone.get_by_text("the second note is now B flat")).to_be_visible()
    sound(phone)
    assert not EarlierScore.objects.exists()
    phone.get_by_role("button", name="Put the corrected score in place").click()
    expect(phone.get_by_text("The corrected score is in place.")).to_be_visible()
    assert EarlierScore.objects.count() == 1


def test_a_page_is_attached_and_removed(phone, sign_in, director, excerpt):
    sign_in(phone, director)
    phone.goto(reverse("excerpt_pages", args=[excerpt.pk]))
    phone.get_by_label("A page").set_input_files(file("page.jpg", photo(size=(900, 1200))))
    phone.get_by_role("button", name="Attach it").click()
    expect(phone.get_by_role("img", name="Page 1")).to_be_visible()
    sound(phone)
    phone.get_by_role("link", name="Back to the music").click()
    expect(phone.get_by_role("img", name="Page 1 of Lamp Etude")).to_be_visible()
    sound(phone)
    phone.go_back()
    phone.get_by_role("button", name="Remove page 1").click()
    expect(phone.get_by_text("No page yet.")).to_be_visible()
    assert not Attachment.objects.exists()
