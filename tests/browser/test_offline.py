"""Without network after one visit: the music reloads, plays and records; the take goes out later, once."""

import re

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from recordings.models import Take
from tests.browser.chromium import ARGUMENTS, PATIENCE_MS, chromium_path
from tests.recordings.sounds import tune_sound, write_sound

pytestmark = pytest.mark.django_db(transaction=True)

SAME_AS_THE_SERVER = """async (address) => {
  const script = document.querySelector("script[src*=play_along]").src;
  const { stretch } = await import(script.replace("play_along", "timetable"));
  const whole = await (await fetch(address)).json();
  const labels = ["1", "2", "3", "4"];
  const off = [];
  for (const [low, first] of labels.entries()) for (const last of labels.slice(low)) {
    const served = await (await fetch(`${address}?from=${first}&to=${last}`)).json();
    const own = stretch(whole, labels, first, last);
    const facts = ({ notes, clicks, count_in, bars, length_s }) => JSON.stringify([
      length_s.toFixed(2), notes.map((n) => [n.id, n.onset_s.toFixed(2), n.position]),
      clicks.map((c) => [c.at_s.toFixed(2), c.accent]), bars.map((b) => [b.bar, b.at_s.toFixed(2)]),
      count_in.map((c) => [c.at_s.toFixed(2), c.accent]),
    ]).replaceAll("-0.00", "0.00");
    if (facts(served) !== facts(own)) off.push([first, last, facts(served), facts(own)]);
  }
  return off;
}"""
DRAWN = """() => new Promise((resolve) => {
  const image = document.querySelector("picture.score img");
  if (image.complete) resolve(image.naturalWidth > 0);
  for (const kind of ["load", "error"]) image.addEventListener(kind, () => resolve(image.naturalWidth > 0));
})"""
NARROW_KEPT = """async () => {
  for (const name of await caches.keys()) for (const { url } of await (await caches.open(name)).keys())
    if (/score\\.svg.*plain=1.*width=3\\d0/.test(url)) return true;
  return false;
}"""
KEPT = "caches.keys().then((names) => names.filter((name) => name.startsWith('person-')))"


@pytest.fixture
def phone(browser, tmp_path, live_server):
    """A phone that hears a tune, with a network that can be taken away."""
    fed = write_sound(tmp_path / "fed.wav", tune_sound())
    microphone = [
        "--use-fake-device-for-media-stream",
        "--use-fake-ui-for-media-stream",
        f"--use-file-for-fake-audio-capture={fed}",
    ]
    chromium = browser.browser_type.launch(executable_path=chromium_path(), args=[*ARGUMENTS, *microphone])
    context = chromium.new_context(base_url=live_server.url, viewport={"width": 360, "height": 780})
    context.set_default_timeout(PATIENCE_MS)
    yield context.new_page()
    chromium.close()


@pytest.fixture
def practising(phone, sign_in, student_user, entry, requirement):
    sign_in(phone, student_user)
    phone.goto(reverse("excerpt_detail", args=[requirement.excerpt_id]))
    phone.locator("body[data-opens-offline]").wait_for()
    return phone


def test_a_page_reloads_plays_and_records_and_the_take_goes_out_once(practising):
    page, context = practising, practising.context
    times = page.locator("[data-play-along]").get_attribute("data-times")
    assert page.evaluate(SAME_AS_THE_SERVER, times) == []
    page.wait_for_function(NARROW_KEPT)
    context.set_offline(True)
    page.reload()
    expect(page.locator("body[data-kept]")).to_be_visible()
    expect(page.locator("[data-score]")).to_have_attribute("data-width", re.compile("^3.0$"))
    expect(page.locator("[data-offline-sign]")).to_be_visible()
    page.get_by_text("More", exact=True).click()
    page.get_by_label("From bar").select_option("2")
    page.get_by_label("To bar").select_option("3")
    page.get_by_role("button", name="Play", exact=True).click()
    expect(page.locator("[data-note-circle]")).to_be_visible()
    page.get_by_role("link", name="Record for").click()
    assert page.evaluate(DRAWN), "the music is not drawn without network"
    page.get_by_role("button", name="Record", exact=True).click()
    expect(page.locator("[data-level]")).to_contain_text("0:03")
    page.locator("[data-record]").click()
    page.get_by_role("button", name="Hand in this one").click()
    expect(page.locator("[data-outgoing]")).to_contain_text("The connection broke off")
    assert not Take.objects.exists()
    context.set_offline(False)
    page.wait_for_url("**/takes/*/")
    expect(page.locator("[data-offline-sign]")).to_be_hidden()
    page.go_back()
    page.locator("[data-recordings]").wait_for(state="attached")
    assert Take.objects.count() == 1


def test_nothing_is_left_for_the_next_person(practising, sign_in, other_student_user, requirement):
    page, context = practising, practising.context
    assert len(page.evaluate(KEPT)) == 1
    page.get_by_role("button", name="Menu").click()
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/accounts/login/**")
    assert page.evaluate(KEPT) == []
    context.set_offline(True)
    page.goto(reverse("excerpt_detail", args=[requirement.excerpt_id]))
    expect(page.get_by_role("heading", name="No network just now")).to_be_visible()
    expect(page.locator("[data-offline-sign]")).to_be_hidden()
    assert "Mira" not in page.content()
    context.set_offline(False)


def test_anybody_elses_page_empties_it_even_without_a_sign_out(practising, sign_in, other_student_user):
    first = practising.evaluate(KEPT)
    assert len(first) == 1
    sign_in(practising, other_student_user)
    practising.goto(reverse("my_music"))
    practising.wait_for_function(f"{KEPT}.then((names) => names.length === 0)")


def test_what_one_may_no_longer_see_is_not_shown_without_network_either(practising, entry, requirement):
    page, context = practising, practising.context
    address = reverse("excerpt_detail", args=[requirement.excerpt_id])
    entry.delete()
    assert page.goto(address).status == 404
    cache = f"{KEPT}.then(([name]) => caches.open(name))"
    page.wait_for_function(f"{cache}.then((kept) => kept.match({address!r})).then((page) => !page)")
    context.set_offline(True)
    page.goto(address)
    expect(page.get_by_role("heading", name="No network just now")).to_be_visible()
    context.set_offline(False)
