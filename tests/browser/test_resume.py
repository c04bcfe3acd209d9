"""A take over a bad network: cut, closed, gone on with in another page load, equal to the last byte."""

import hashlib

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from recordings.models import Take, Upload
from tests.browser.axe import faults
from tests.recordings.sounds import tone, write_sound

SUMS = """
async (lengths) => {
  const { Sha256, hex } = await import("/static/recordings/sha256.js");
  return lengths.map((length) => {
    const bytes = Uint8Array.from({ length }, (_, place) => place % 251);
    const cut = Math.floor(length / 3);
    return hex(new Sha256().update(bytes.subarray(0, cut)).update(bytes.subarray(cut)).digest());
  });
}
"""


@pytest.fixture
def long_wav(tmp_path):
    return write_sound(tmp_path / "long.wav", tone(60.0))


@pytest.fixture
def address(entry, requirement) -> str:
    return reverse("requirement_takes", args=[entry.pk, requirement.pk])


@pytest.fixture
def form(phone, sign_in, student_user, address):
    sign_in(phone, student_user)
    phone.goto(address)
    phone.locator("[data-outgoing]").wait_for(state="attached")
    return phone


def hand_in(page, *paths) -> None:
    page.get_by_label("Recording", exact=True).set_input_files(paths)
    page.get_by_role("button", name="Hand in", exact=True).click()


def cut_after(page, pieces: int) -> None:
    """The network lets so many pieces pass and then no more."""
    passed = []

    def look(route) -> None:
        if route.request.method != "PATCH":
            return route.continue_()
        passed.append(1)
        return route.continue_() if len(passed) <= pieces else route.abort()

    page.route("**/uploads/*/", look)


def test_the_page_hashes_like_everybody(form):
    lengths = [0, 1, 55, 56, 63, 64, 65, 119, 120, 1000, 100_003]
    said = form.evaluate(SUMS, lengths)
    assert said == [hashlib.sha256(bytes(n % 251 for n in range(size))).hexdigest() for size in lengths]


def test_cut_amid_sending_closed_and_gone_on_with_in_a_new_page(form, address, long_wav):
    cut_after(form, 1)
    hand_in(form, long_wav)
    form.locator("[data-lines]", has_text="The connection broke off. What was sent is kept").wait_for()
    assert faults(form) == []
    assert form.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    upload = Upload.objects.get()
    assert 0 < upload.offset < upload.size
    context = form.context
    form.close()
    again = context.new_page()
    again.goto(reverse("my_music"))
    line = again.locator("[data-lines] li")
    expect(line).to_contain_text("It has arrived whole and is safe.")
    assert upload.pk == Upload.objects.get().pk
    take = Take.objects.get()
    assert hashlib.sha256(take.sound.read()).digest() == hashlib.sha256(long_wav.read_bytes()).digest()
    line.get_by_role("link", name="Open this take").click()
    again.wait_for_url(f"**/takes/{take.pk}/")
    again.goto(address)
    expect(again.locator("[data-outgoing]")).to_be_hidden()


def test_several_go_one_after_the_other(form, tmp_path):
    paths = [
        write_sound(tmp_path / f"{name}.wav", tone(3.0, midi=midi)) for name, midi in (("a", 60), ("b", 64))
    ]
    form.context.set_offline(True)
    hand_in(form, *paths)
    lines = form.locator("[data-lines] li")
    expect(lines).to_have_count(2)
    expect(form.locator("[data-outgoing-status]")).to_contain_text("2 recordings on their way")
    form.context.set_offline(False)
    for line in lines.all():
        expect(line).to_contain_text("It has arrived whole and is safe.")
    assert {take.original_name for take in Take.objects.all()} == {"a.wav", "b.wav"}


def test_without_a_copy_on_the_device_the_same_file_goes_on(form, address, long_wav):
    cut_after(form, 1)
    hand_in(form, long_wav)
    form.get_by_text("The connection broke off.").first.wait_for()
    form.evaluate("indexedDB.deleteDatabase('fairhearing-outgoing')")
    context = form.context
    form.close()
    again = context.new_page()
    again.goto(address)
    expect(again.locator("[data-upload]")).to_contain_text("Choose the same file again")
    hand_in(again, long_wav)
    again.wait_for_url("**/takes/*/")
    assert Upload.objects.count() == 1
    assert Take.objects.get().size == long_wav.stat().st_size


TIMES = """
async () => {
  const { Pace, inWords } = await import("/static/recordings/time_left.js");
  const words = document.querySelector("[data-outgoing]").dataset;
  const pace = new Pace();
  const before = pace.secondsFor(1000);
  for (let second = 0; second <= 10; second += 1) pace.note(second * 50_000, second * 1000);
  const seconds = pace.secondsFor(6_000_000);
  const said = [20, 60, seconds, 3600, 9000, null].map((one) => inWords(one, words));
  return [before, seconds, ...said];
}
"""


def test_what_is_no_recording_says_so_on_any_page(form, tmp_path):
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear teacher")
    form.context.set_offline(True)
    hand_in(form, letter)
    form.get_by_text("The connection broke off.").first.wait_for()
    form.context.set_offline(False)
    form.goto(reverse("my_music"))
    expect(form.locator("[data-lines] li")).to_contain_text("This file is not a recording.")
    form.reload()
    expect(form.locator("[data-outgoing]")).to_be_hidden()
    assert not Upload.objects.exists()


def test_the_time_left_is_said_in_words(form):
    assert form.evaluate(TIMES) == [
        None,
        120,
        "less than a minute left",
        "about a minute left",
        "about 2 minutes left",
        "about an hour left",
        "about 3 hours left",
        "",
    ]


def test_what_is_on_its_way_is_discarded_by_the_second_press_only(form, long_wav):
    cut_after(form, 1)
    hand_in(form, long_wav)
    line = form.locator("[data-lines] li", has_text="The connection broke off.")
    line.get_by_role("button", name="Discard: long.wav").click()
    assert Upload.objects.exists()
    line.get_by_role("button", name="Press again to discard").click()
    expect(form.locator("[data-outgoing]")).to_be_hidden()
    form.reload()
    expect(form.locator("[data-outgoing]")).to_be_hidden()
    assert not Upload.objects.exists()
