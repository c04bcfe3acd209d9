"""Recording in the page: Chromium's microphone is fed from a known file, and that file is what arrives."""

import json

import numpy as np
import pytest
from django.urls import reverse
from playwright.sync_api import expect
from scipy.signal import fftconvolve

from recordings.analysis.recording.decode import decode
from recordings.models import Take
from tests.browser.chromium import ARGUMENTS, PATIENCE_MS, chromium_path
from tests.recordings.sounds import RATE, tune_sound, write_sound

RECORDED_S = 4


@pytest.fixture
def fed(tmp_path):
    """A tune, as loud as a good take."""
    return write_sound(tmp_path / "fed.wav", tune_sound())


@pytest.fixture
def student_page(browser, fed, live_server, sign_in, student_user, entry, requirement):
    """The requirement's page on a phone whose microphone hears the file again and again."""
    microphone = [
        "--use-fake-device-for-media-stream",
        "--use-fake-ui-for-media-stream",
        f"--use-file-for-fake-audio-capture={fed}",
    ]
    chromium = browser.browser_type.launch(executable_path=chromium_path(), args=[*ARGUMENTS, *microphone])
    context = chromium.new_context(base_url=live_server.url, viewport={"width": 360, "height": 780})
    context.set_default_timeout(PATIENCE_MS)
    page = context.new_page()
    sign_in(page, student_user)
    page.goto(reverse("requirement_takes", args=[entry.pk, requirement.pk]))
    yield page
    chromium.close()


def record(page) -> None:
    page.get_by_role("button", name="Record", exact=True).click()
    expect(page.locator("[data-level]")).to_contain_text(f"0:0{RECORDED_S}")


def stop(page) -> None:
    page.locator("[data-record]").click()
    page.get_by_text("Kept on this device").wait_for()


def likeness(heard: np.ndarray, fed: np.ndarray) -> float:
    """Largest normalised correlation of what was heard with any stretch of the endlessly repeated file."""
    around = np.tile(fed, 2 + len(heard) // len(fed))
    products = fftconvolve(around, heard[::-1], mode="valid")
    powers = fftconvolve(around**2, np.ones(len(heard)), mode="valid")
    return float(np.max(products / np.sqrt(np.maximum(powers, 1e-9) * np.sum(heard**2))))


def test_what_the_microphone_hears_is_what_arrives(student_page, fed):
    record(student_page)
    stop(student_page)
    processing = json.loads(student_page.locator("[data-recorder]").get_attribute("data-processing"))
    assert processing == {"echoCancellation": False, "noiseSuppression": False, "autoGainControl": False}
    student_page.get_by_role("button", name="Hand in this one").click()
    student_page.wait_for_url("**/takes/*/")
    with Take.objects.get().sound.open() as sound:
        heard = decode(sound).samples
    assert len(heard) > RECORDED_S * RATE * 0.9
    # What the microphone gives in its first quarter of a second is not promised.
    alike = likeness(heard[RATE // 4 : 3 * RATE], decode(fed).samples)
    print(f"correlation of what arrived with the file fed: {alike:.4f}")
    assert alike > 0.98
    student_page.go_back()
    student_page.locator("[data-check]").wait_for()
    assert student_page.locator("[data-recordings] li").count() == 0


def test_a_page_closed_while_recording_keeps_what_was_played(student_page):
    address = student_page.url
    record(student_page)
    context = student_page.context
    student_page.close()
    again = context.new_page()
    again.goto(address)
    again.get_by_role("button", name="Hand in this one").click()
    again.wait_for_url("**/takes/*/")
    with Take.objects.get().sound.open() as sound:
        assert decode(sound).duration_s > RECORDED_S - 2


def test_a_recording_is_discarded_by_the_second_press_only(student_page):
    record(student_page)
    stop(student_page)
    row = student_page.locator("[data-recordings] li")
    row.get_by_role("button", name="Discard").click()
    student_page.reload()
    expect(row).to_have_count(1)
    row.get_by_role("button", name="Discard").click()
    row.get_by_role("button", name="Press again to discard").click()
    expect(row).to_have_count(0)
    student_page.reload()
    student_page.locator("[data-check]").wait_for()
    assert row.count() == 0


def test_the_room_check_says_what_it_heard(student_page):
    student_page.get_by_role("button", name="Check the room").click()
    said = student_page.locator("[data-record-status]")
    expect(said).to_contain_text("Your loudest bars come through well.", timeout=PATIENCE_MS)
    assert "noisy" in said.inner_text()
