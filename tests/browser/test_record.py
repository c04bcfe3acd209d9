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


def test_a_count_in_comes_before_the_recording(student_page):
    student_page.get_by_label("Count me in: 4 beats at 96").check()
    student_page.get_by_role("button", name="Record", exact=True).click()
    status = student_page.locator("[data-record-status]")
    expect(status).to_contain_text("Counting you in")
    names = student_page.evaluate("indexedDB.databases().then((all) => all.map((one) => one.name))")
    assert "fairhearing-recordings" in names
    assert student_page.locator("[data-level]").inner_text() == ""
    expect(status).to_contain_text("Recording.")
    expect(student_page.locator("[data-level]")).to_contain_text("0:01")
    stop(student_page)


COUNTED = """
async (counted) => {
  const { CountIn } = await import("/static/recordings/record_begin.js");
  const clicks = [];
  const synth = { now: () => 10, click: (at, level) => clicks.push([at, level]) };
  return { begins: new CountIn(counted).sound(synth), clicks };
}
"""


def test_its_clicks_and_the_moment_recording_begins(student_page):
    counted = {"bpm": "60", "bar": "4", "clicks": "7", "lead": "7"}
    heard = student_page.evaluate(COUNTED, counted)
    assert [round(at, 6) for at, _ in heard["clicks"]] == [10.2 + beat for beat in range(7)]
    assert [level for _, level in heard["clicks"]] == [3, 2, 2, 2, 3, 2, 2]
    assert heard["begins"] == pytest.approx(10.2 + 6.5)


def test_a_mock_audition_is_one_go_kept_on_the_device(student_page):
    student_page.get_by_role("button", name="Mock audition").click()
    student_page.get_by_role("button", name="Begin").click()
    status = student_page.locator("[data-record-status]")
    expect(status).to_contain_text("Take your place and breathe. Recording begins in")
    expect(student_page.locator("[data-record]")).to_have_text("Not now")
    finished = student_page.get_by_role("button", name="I have finished")
    finished.wait_for(timeout=PATIENCE_MS)
    expect(student_page.locator("[data-level]")).to_contain_text("0:02")
    finished.click()
    expect(status).to_contain_text("That was your mock audition.")
    expect(student_page.locator("[data-recordings] li")).to_contain_text("Mock audition")
    student_page.reload()
    expect(student_page.locator("[data-recordings] li")).to_contain_text("Mock audition")
    assert not Take.objects.exists()


@pytest.mark.parametrize("counted_in", [False, True])
def test_until_the_recording_begins_it_is_called_off_by_one_press(student_page, counted_in):
    if counted_in:
        student_page.get_by_label("Count me in").check()
        student_page.get_by_role("button", name="Record", exact=True).click()
    else:
        student_page.get_by_role("button", name="Mock audition").click()
        student_page.get_by_role("button", name="Begin").click()
    student_page.locator("[data-record]", has_text="Not now").click()
    expect(student_page.locator("[data-record-status]")).to_have_text("Nothing was recorded.")
    expect(student_page.locator("[data-record]")).to_have_text("Record")
    expect(student_page.get_by_role("button", name="Mock audition")).to_be_enabled()
    assert student_page.locator("[data-recordings] li").count() == 0


def test_not_now_records_nothing(student_page):
    student_page.get_by_role("button", name="Mock audition").click()
    student_page.get_by_role("button", name="Not now").click()
    assert student_page.locator("[data-record-status]").inner_text() == ""
    assert student_page.locator("[data-record]").is_enabled()


OLDER = """
async (days) => {
  const { RecordStore } = await import("/static/recordings/record_store.js");
  const store = await RecordStore.open();
  const [kept] = await store.of(document.querySelector("[data-recorder]").dataset.owner);
  await store.add({ ...kept, began: kept.began - days * 86400000 }, 99, new Blob([]));
}
"""


def test_after_thirty_days_a_kept_recording_is_gone(student_page):
    record(student_page)
    stop(student_page)
    row = student_page.locator("[data-recordings] li")
    student_page.evaluate(OLDER, 29)
    student_page.reload()
    expect(row).to_have_count(1)
    student_page.evaluate(OLDER, 2)
    student_page.reload()
    student_page.locator("[data-check]").wait_for()
    expect(row).to_have_count(0)


def test_where_nothing_can_be_kept_the_page_says_so(student_page):
    student_page.add_init_script("indexedDB.open = () => { throw new Error('private window'); };")
    student_page.reload()
    expect(student_page.locator("[data-record-status]")).to_contain_text("you cannot record here")
    assert student_page.locator("[data-record]").is_disabled()
