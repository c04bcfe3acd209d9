"""Reading at sight in the browser: nothing is seen beforehand, one take, sent when there is a network."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from recordings.models import SightReading
from recordings.sight.new import new_exercise
from tests.browser.chromium import ARGUMENTS, PATIENCE_MS, chromium_path
from tests.recordings.sight_rows import heard_at


@pytest.fixture
def exercise(student, requirement, entry):
    return new_exercise([student], requirement, 2)[0]


@pytest.fixture
def phone_with_microphone(browser, live_server, sign_in, student_user):
    microphone = ["--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream"]
    chromium = browser.browser_type.launch(executable_path=chromium_path(), args=[*ARGUMENTS, *microphone])
    context = chromium.new_context(base_url=live_server.url, viewport={"width": 360, "height": 780})
    context.set_default_timeout(PATIENCE_MS)
    page = context.new_page()
    sign_in(page, student_user)
    yield page
    chromium.close()


def test_thirty_seconds_to_look_one_take_and_a_lost_network_loses_nothing(phone_with_microphone, exercise):
    page, context = phone_with_microphone, phone_with_microphone.context
    page.goto(reverse("sight_reading", args=[exercise.pk]))
    assert page.locator("svg").count() == 0
    page.get_by_role("button", name="Show me the music").click()
    expect(page.locator("figure.score > svg")).to_be_visible()
    expect(page.locator("[data-sight-status]")).to_contain_text("Look: ")
    expect(page.get_by_text("The key:")).to_be_visible()
    page.get_by_role("button", name="I am ready").click()
    done = page.get_by_role("button", name="I have finished")
    done.wait_for()
    expect(page.get_by_text("The key:")).to_be_hidden()
    page.evaluate(THREE_PIECES)
    context.set_offline(True)
    done.click()
    expect(page.locator("[data-sight-status]")).to_contain_text("It lies on this device")
    assert SightReading.objects.get().state == "unplayed"
    context.set_offline(False)
    expect(page.get_by_text("Your take is being listened to.")).to_be_visible()
    assert SightReading.objects.get().size > 0
    SightReading.objects.update(state="done", result=heard_at(81))
    page.goto(reverse("sight_reading", args=[exercise.pk]))
    expect(page.get_by_text("A slower beat gives your eyes more time.")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") == 360


THREE_PIECES = """async () => {
  const asked = (request) => new Promise((resolve) => { request.onsuccess = () => resolve(request.result); });
  const database = await asked(indexedDB.open("fairhearing-recordings", 1));
  const count = () => asked(database.transaction("pieces").objectStore("pieces").count());
  while (await count() < 3) await new Promise((resolve) => setTimeout(resolve, 100));
  database.close();
}"""
