"""Long music is drawn aside and shown by stretches: nobody who opens it holds the web server."""

import threading
import time

import pytest
from django.urls import reverse

from repertoire.models import Excerpt
from repertoire.notation.read.reading import read_score
from repertoire.show import aside
from tests.repertoire.notation.makers import piece

pytestmark = pytest.mark.django_db


def made(excerpt: Excerpt, bar_count: int) -> Excerpt:
    music = read_score(piece(bar_count))
    excerpt.musicxml = music.musicxml
    excerpt.bar_count = len(music.score.measures)
    excerpt.save()
    return Excerpt.objects.get(pk=excerpt.pk)


@pytest.fixture
def long_music(excerpt):
    return made(excerpt, 400)


@pytest.fixture
def never_here(monkeypatch):
    """This process itself must not engrave."""
    for module in ("repertoire.show.engraved.engrave", "repertoire.paper.music.engrave_pages"):
        monkeypatch.setattr(module, lambda *args, **kwargs: pytest.fail("engraved in the web process"))


def opened(browser, address: str):
    """Asked again as the page asks by itself."""
    for _ in range(40):
        answer = browser.get(address)
        if answer.status_code != 503:
            return answer
        time.sleep(0.5)
    pytest.fail("never drawn")


@pytest.mark.parametrize("page", ["excerpt_detail", "excerpt_svg", "excerpt_print"])
def test_the_web_process_does_not_engrave_long_music(page, long_music, never_here, as_user, teacher):
    answer = opened(as_user(teacher), reverse(page, args=[long_music.pk]))
    assert answer.status_code == 200
    if page != "excerpt_print":
        assert b'id="p1m400"' in answer.content


@pytest.mark.parametrize("page", ["excerpt_detail", "excerpt_svg"])
def test_of_very_long_music_a_page_brings_a_stretch(page, excerpt, never_here, as_user, teacher, monkeypatch):
    monkeypatch.setattr("repertoire.show.stretches.STRETCH_NOTES", 600)
    music, browser = made(excerpt, 400), as_user(teacher)
    answer = opened(browser, reverse(page, args=[music.pk]))
    assert b'id="p1m1"' in answer.content
    assert b'id="p1m400"' not in answer.content


@pytest.mark.slow
def test_every_bar_of_very_long_music_can_be_reached(excerpt, as_user, teacher, monkeypatch):
    monkeypatch.setattr("repertoire.show.stretches.STRETCH_NOTES", 600)
    music, browser = made(excerpt, 400), as_user(teacher)
    address = reverse("excerpt_detail", args=[music.pk])
    parts = opened(browser, address).content.decode().count("?part=")
    assert parts > 1
    pages = [opened(browser, f"{address}?part={number + 1}").content.decode() for number in range(parts)]
    for number in range(1, 401):
        assert sum(f'id="p1m{number}"' in page for page in pages) == 1


def test_without_a_free_place_the_page_asks_again_by_itself(long_music, as_user, teacher, monkeypatch):
    monkeypatch.setattr("repertoire.show.aside.PLACES", 0)
    monkeypatch.setattr("repertoire.show.aside.WAIT_S", 0.1)
    answer = as_user(teacher).get(reverse("excerpt_detail", args=[long_music.pk]))
    assert answer.status_code == 503
    assert answer["Retry-After"] == "3"
    assert b"it is being drawn" in answer.content
    assert b'http-equiv="refresh"' in answer.content


def test_few_requests_wait_and_the_next_is_answered_at_once(long_music, as_user, teacher, monkeypatch):
    monkeypatch.setattr("repertoire.show.aside._waiting", threading.BoundedSemaphore(1))
    aside._waiting.acquire()
    monkeypatch.setattr("repertoire.show.aside.run", lambda *a, **k: pytest.fail("begun"))
    answer = as_user(teacher).get(reverse("excerpt_svg", args=[long_music.pk]))
    assert answer.status_code == 503


def test_what_cannot_be_drawn_is_said_and_not_tried_at_every_request(
    long_music, as_user, teacher, ended_by, monkeypatch
):
    ended_by("ABRT")
    browser, address = as_user(teacher), reverse("excerpt_detail", args=[long_music.pk])
    assert b"too long to be drawn" in opened(browser, address).content
    monkeypatch.setattr("repertoire.show.aside.run", lambda *a, **k: pytest.fail("tried again"))
    assert browser.get(address).status_code == 422


def test_music_too_long_to_print_is_said_and_some_bars_of_it_print(long_music, as_user, teacher, monkeypatch):
    monkeypatch.setattr("repertoire.paper.music.MOST_PRINTED_NOTES", 600)
    browser, address = as_user(teacher), reverse("excerpt_print", args=[long_music.pk])
    assert b"too long to be drawn" in browser.get(address).content
    assert opened(browser, f"{address}?form=1-20").content.startswith(b"%PDF")
