"""The drawing and the MusicXML of an excerpt as files."""

import pytest
from django.urls import reverse

from repertoire.notation.read.reading import read_score

pytestmark = pytest.mark.django_db


@pytest.fixture(params=["excerpt_svg", "excerpt_musicxml"])
def either(request, excerpt):
    return reverse(request.param, args=[excerpt.pk])


@pytest.fixture
def svg(excerpt):
    return reverse("excerpt_svg", args=[excerpt.pk])


def test_drawing_is_private_and_known_again(as_user, teacher, svg):
    client = as_user(teacher)
    first = client.get(svg, {"width": 640})
    assert first["Content-Type"] == "image/svg+xml"
    assert "private" in first["Cache-Control"]
    assert b'id="p1m1n1"' in first.content
    again = client.get(svg, {"width": 640}, headers={"if-none-match": first["ETag"]})
    assert again.status_code == 304
    assert not again.content
    assert client.get(svg, {"width": 900}, headers={"if-none-match": first["ETag"]}).status_code == 200


@pytest.mark.parametrize("width", ["", "wide", "-5", "99999999999", "²"])
def test_odd_widths_get_the_usual_drawing(as_user, teacher, svg, width):
    client = as_user(teacher)
    assert client.get(svg, {"width": width}).content == client.get(svg).content


def test_bars_alone(as_user, teacher, svg):
    client = as_user(teacher)
    drawn = client.get(svg, {"from": "3", "to": "4"}).content
    assert b'id="p1m3n1"' in drawn
    assert b'id="p1m1n1"' not in drawn
    assert client.get(svg, {"from": "3", "to": "99"}).status_code == 404


def test_download_is_the_stored_score(as_user, teacher, excerpt):
    response = as_user(teacher).get(reverse("excerpt_musicxml", args=[excerpt.pk]))
    assert response["Content-Disposition"] == 'attachment; filename="lamp-etude.musicxml"'
    assert "private" in response["Cache-Control"]
    assert read_score(response.content).score.notes == excerpt.score.notes


def test_student_and_guardian_of_that_music(as_user, either, entry, requirement, student_user, guardian):
    assert as_user(student_user).get(either).status_code == 200
    assert as_user(guardian).get(either).status_code == 200


def test_strangers_find_nothing_not_even_by_etag(as_user, teacher, either, other_student, requirement):
    etag = as_user(teacher).get(either).get("ETag", '"x"')
    stranger = as_user(other_student.user)
    assert stranger.get(either, headers={"if-none-match": etag}).status_code == 404


def test_anonymous_is_asked_to_sign_in(as_user, either):
    assert as_user(None).get(either).url.startswith(reverse("account_login"))


def test_only_reading(as_user, director, either):
    assert as_user(director).post(either).status_code == 405
