"""Handing in a take from a phone: progress, refusals, and a file that stays chosen."""

import pytest
from django.contrib.sessions.models import Session
from django.urls import reverse
from playwright.sync_api import expect

from recordings.models import Take
from tests.recordings.sounds import tone, write_sound


@pytest.fixture
def wav(tmp_path):
    return write_sound(tmp_path / "take.wav", tone(3.0))


@pytest.fixture
def form(phone, sign_in, student_user, entry, requirement):
    """The page of one requirement, opened on a phone by the student."""
    sign_in(phone, student_user)
    phone.goto(reverse("requirement_takes", args=[entry.pk, requirement.pk]))
    return phone


def choose(page, path) -> None:
    page.get_by_label("Recording", exact=True).set_input_files(path)


def send(page) -> None:
    page.get_by_role("button", name="Hand in", exact=True).click()


def wording(page) -> str:
    page.locator("#sound-error").wait_for(state="visible")
    return page.locator("#sound-error").inner_text()


def arrives(page) -> None:
    page.wait_for_url("**/takes/*/")
    assert Take.objects.count() == 1


def test_a_take_goes_up_and_its_page_opens(form, wav):
    choose(form, wav)
    send(form)
    arrives(form)
    assert "This take waits its turn" in form.locator(".live").inner_text()


def test_progress_is_shown_while_it_goes_up(form, wav):
    form.route("**/uploads/*/", lambda route: None)  # never answered: the page stays as it is amid sending
    choose(form, wav)
    send(form)
    form.get_by_role("progressbar", name="Sending the recording: take.wav").wait_for()
    expect(form.locator("[data-lines]")).to_contain_text("of 0.1 MB sent")
    assert not Take.objects.exists()


def test_what_is_not_a_recording_is_shown_beside_the_field(form, tmp_path, wav):
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear teacher")
    choose(form, letter)
    send(form)
    assert "not a recording" in wording(form)
    choose(form, wav)
    assert form.locator("#sound-error").is_hidden()
    send(form)
    arrives(form)


def test_too_large_is_shown_before_anything_is_sent(form, wav):
    form.evaluate("document.querySelector('[data-hand-in]').dataset.maxMb = '0.01'")
    choose(form, wav)
    assert "larger than" in wording(form)
    assert not Take.objects.exists()


def test_after_a_lost_connection_the_same_file_goes_up(form, wav):
    choose(form, wav)
    form.context.set_offline(True)
    send(form)
    form.get_by_text("The connection broke off.").first.wait_for()
    form.context.set_offline(False)
    arrives(form)


def test_after_an_expired_sign_in_the_same_file_goes_up(form, wav, sign_in, student_user):
    choose(form, wav)
    Session.objects.all().delete()
    send(form)
    form.locator("[data-lines]", has_text="You have been signed out meanwhile.").wait_for()
    sign_in(form, student_user)
    form.get_by_role("button", name="Try again").click()
    arrives(form)


def test_without_javascript(open_page, live_server, sign_in, student_user, entry, requirement, wav):
    page = open_page(base_url=live_server.url, java_script_enabled=False)
    sign_in(page, student_user)
    page.goto(reverse("requirement_takes", args=[entry.pk, requirement.pk]))
    choose(page, wav)
    send(page)
    arrives(page)
    assert "Your take has arrived." in page.locator("main").inner_text()
