"""Adding a score of several parts, and the other formats, on the page."""

import html
import re

import pytest
from django.core.cache import caches
from django.urls import reverse

from repertoire.models import Excerpt
from tests.repertoire.notation.foreign_makers import ABC, KERN, midi, played

pytestmark = pytest.mark.django_db


@pytest.fixture
def url():
    return reverse("excerpt_add")


def hidden(page: str, name: str) -> str:
    return html.unescape(re.search(rf'name="{name}"[^>]*value="([^"]*)"', page)[1])


def test_a_part_is_chosen_and_the_file_is_not_chosen_twice(as_user, director, url, typed, score_file):
    client = as_user(director)
    page = client.post(url, {**typed, "instrument": "cello", "file": score_file(KERN, "two.krn")})
    wording = html.unescape(page.content.decode())
    assert not Excerpt.objects.exists()
    assert "Violin: 2 bars, 4 notes" in wording
    assert "Cello: 2 bars, 4 notes" in wording
    assert 'value="Window Etude"' in wording
    again = client.post(url, {**typed, "instrument": "cello", "aside": hidden(wording, "aside"), "part": "2"})
    assert again.status_code == 302
    assert Excerpt.objects.get().score.part_name == "Cello"


def test_sending_without_a_choice_asks_again(as_user, director, url, typed, score_file):
    client = as_user(director)
    wording = client.post(url, {**typed, "file": score_file(KERN)}).content.decode()
    wording = client.post(url, {**typed, "aside": hidden(wording, "aside")}).content.decode()
    assert "Please choose what is to be played." in wording
    assert hidden(wording, "aside")
    wording = client.post(url, {**typed, "aside": hidden(wording, "aside"), "part": "7"}).content.decode()
    assert "This part is not in the score" in wording
    assert not Excerpt.objects.exists()


@pytest.mark.parametrize("token", ["x", "../../etc/passwd", "a" * 32])
def test_a_score_no_longer_kept_is_asked_for(as_user, director, url, typed, token):
    caches["drawings"].clear()
    wording = as_user(director).post(url, {**typed, "aside": token, "part": "1"}).content.decode()
    assert html.unescape(wording).count("Please choose the score's file.") == 1


def test_midi_is_added_with_its_caution(as_user, director, url, typed, score_file):
    answer = as_user(director).post(
        url, {**typed, "file": score_file(midi(played([62, 64, 66, 67])))}, follow=True
    )
    assert "A MIDI file holds no slurs, dynamics" in answer.content.decode()
    assert Excerpt.objects.get().bar_count == 1


def test_abc_fills_what_is_left_empty(as_user, director, url, typed, score_file):
    empty = {**typed, "title": "", "composer": "", "marked_bpm": "", "beat_unit": ""}
    as_user(director).post(url, {**empty, "file": score_file(ABC, "x.abc")})
    excerpt = Excerpt.objects.get()
    assert (excerpt.title, excerpt.composer, excerpt.marked_bpm) == ("Candle Tune", "Nobody Real", 100)
