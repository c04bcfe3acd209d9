"""The times a page plays along with."""

import pytest
from django.urls import reverse

pytestmark = pytest.mark.django_db


@pytest.fixture
def url(excerpt):
    return reverse("excerpt_times", args=[excerpt.pk])


def test_all_of_it_at_the_marked_tempo(as_user, teacher, url):
    times = as_user(teacher).get(url).json()
    assert times["bpm"] == 96
    assert times["length_s"] == pytest.approx(24 * 60 / 96, abs=1e-3)
    assert [bar["bar"] for bar in times["bars"]] == ["1", "2", "1", "2", "3", "4"]
    assert times["notes"][0] == {
        "id": "p1m1n1",
        "onset_s": 0.0,
        "duration_s": 0.625,
        "midi": 69,
        "bar": "1",
        "beat": 1.0,
        "position": 0,
    }
    assert [click["at_s"] for click in times["count_in"]] == [-2.5, -1.875, -1.25, -0.625]


def test_some_bars_without_repeats_at_another_tempo(as_user, teacher, url):
    times = as_user(teacher).get(url, {"bpm": "60", "from": "2", "to": "3", "repeats": "0"}).json()
    assert times["length_s"] == pytest.approx(8)
    assert {note["bar"] for note in times["notes"]} == {"2", "3"}


def test_an_order_as_a_line_and_some_bars_of_it(as_user, teacher, url):
    client = as_user(teacher)
    whole = client.get(url, {"form": "1, 1, 3-4"}).json()
    assert [bar["bar"] for bar in whole["bars"]] == ["1", "1", "3", "4"]
    part = client.get(url, {"form": "1, 1, 3-4", "from": "1", "to": "3"}).json()
    assert [bar["bar"] for bar in part["bars"]] == ["1", "1", "3"]
    assert client.get(url, {"form": "nonsense"}).status_code == 400


def test_bars_that_are_not_there_are_shown(as_user, teacher, url):
    answer = as_user(teacher).get(url, {"from": "9"})
    assert answer.status_code == 400
    assert "Bar 9 is not in this score" in answer.json()["error"]


@pytest.mark.parametrize(("asked", "taken"), [("nan", 96), ("fast", 96), ("1", 10), ("1e9", 400), ("-5", 10)])
def test_a_tempo_that_is_none_becomes_one(as_user, teacher, url, asked, taken):
    assert as_user(teacher).get(url, {"bpm": asked}).json()["bpm"] == taken


def test_the_page_begins_with_what_a_requirement_asks(as_user, teacher, excerpt):
    page = reverse("excerpt_detail", args=[excerpt.pk])
    play = as_user(teacher).get(page, {"bpm": "72", "from": "2", "to": "3", "repeats": "0"}).context["play"]
    assert (play.bpm, play.low, play.high, play.first, play.last) == (72, 24, 108, "2", "3")
    assert play.times.endswith("?repeats=0")
    plain = as_user(teacher).get(page, {"bpm": "x", "from": "99"}).context["play"]
    assert (plain.bpm, plain.first, plain.last) == (96, "1", "4")


def test_students_of_the_music_and_nobody_else(as_user, url, entry, requirement, student_user, other_student):
    assert as_user(student_user).get(url).status_code == 200
    assert as_user(other_student.user).get(url).status_code == 404
    assert as_user(None).get(url).url.startswith(reverse("account_login"))
