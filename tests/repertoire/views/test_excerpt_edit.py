"""Changing what is said about kept music, and removing it."""

import html

import pytest
from django.urls import reverse

from repertoire.models import Excerpt

pytestmark = pytest.mark.django_db


@pytest.fixture
def url(excerpt):
    return reverse("excerpt_edit", args=[excerpt.pk])


@pytest.fixture
def remove(excerpt):
    return reverse("excerpt_remove", args=[excerpt.pk])


@pytest.fixture
def changed():
    return {
        "title": "Lantern Etude",
        "composer": "Nobody Real",
        "source": "Page 9",
        "marked_bpm": "48",
        "beat_unit": "2.0",
        "temperament": "just",
    }


def test_director_changes_what_is_said_twice(as_user, director, url, excerpt, changed):
    client = as_user(director)
    assert client.get(url).status_code == 200
    for _ in range(2):
        assert client.post(url, changed).url == reverse("excerpt_detail", args=[excerpt.pk])
    now = Excerpt.objects.get()
    assert (now.title, now.marked_bpm, now.beat_unit, now.temperament) == ("Lantern Etude", 48, "2.0", "just")
    assert now.musicxml == excerpt.musicxml


def test_the_beat_unit_stays_once_tempos_are_set_in_it(as_user, director, url, requirement, changed):
    as_user(director).post(url, changed)
    now = Excerpt.objects.get()
    assert (now.title, now.beat_unit) == ("Lantern Etude", "1.0")


def test_bad_input_is_said_and_kept(as_user, director, url, excerpt, changed):
    response = as_user(director).post(url, {**changed, "marked_bpm": "3"})
    text = html.unescape(response.content.decode())
    assert "greater than or equal to 10" in text
    assert 'value="Page 9"' in text
    assert Excerpt.objects.get().title == excerpt.title


def test_the_title_of_the_same_music_is_taken(as_user, director, url, excerpt, changed):
    Excerpt.objects.create(
        title="Lantern Etude", instrument="violin", musicxml=excerpt.musicxml, marked_bpm=60, bar_count=4
    )
    response = as_user(director).post(url, changed)
    assert response.context["form"].errors["title"]


def test_unused_music_is_removed(as_user, director, remove):
    client = as_user(director)
    assert client.post(remove).url == reverse("excerpt_list")
    assert not Excerpt.objects.exists()
    assert client.post(remove).status_code == 404


def test_music_set_for_an_audition_stays(as_user, director, remove, requirement):
    response = as_user(director).post(remove, follow=True)
    assert "is set for an audition or a clinic, so it stays" in html.unescape(response.content.decode())
    assert Excerpt.objects.exists()


@pytest.mark.parametrize("who", ["teacher", "student_user", "guardian"])
def test_those_who_see_it_may_not_change_it(as_user, request, url, remove, changed, entry, requirement, who):
    client = as_user(request.getfixturevalue(who))
    assert client.get(url).status_code == 403
    assert client.post(url, changed).status_code == 403
    assert client.post(remove).status_code == 403
    assert Excerpt.objects.get().title == "Lamp Etude"


def test_strangers_find_nothing(as_user, url, remove, changed, requirement, other_student):
    client = as_user(other_student.user)
    assert client.post(url, changed).status_code == 404
    assert client.post(remove).status_code == 404


def test_anonymous_is_asked_to_sign_in(as_user, url, remove):
    for address in (url, remove):
        assert as_user(None).post(address).url.startswith(reverse("account_login"))
