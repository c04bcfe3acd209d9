import html

import pytest
from django.urls import reverse

from repertoire.models import Excerpt
from repertoire.notation.write.scale_sets import scales_of_set, tonic_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def url():
    return reverse("scale_set_add")


@pytest.fixture
def chosen():
    return {
        "instrument": "violin",
        "kinds": ["major"],
        "sharps": "4",
        "flats": "0",
        "octaves": "2",
        "note_value": "eighth",
        "slur": "0",
        "marked_bpm": "80",
        "beat_unit": "1.0",
    }


def test_all_majors_to_four_sharps_in_one_action(as_user, director, url, chosen):
    client = as_user(director)
    assert client.get(url).status_code == 200
    response = client.post(url, chosen, follow=True)
    assert "5 sheets were made." in response.content.decode()
    titles = list(Excerpt.objects.order_by("pk").values_list("title", flat=True))
    assert titles == [f"{key} major, two octaves" for key in "CGDAE"]
    assert set(Excerpt.objects.values_list("temperament", flat=True)) == {"pythagorean"}


def test_sheets_that_do_not_fit_are_named_before_anything_is_kept(as_user, director, url, chosen):
    client = as_user(director)
    three = {**chosen, "octaves": "3", "flats": "1"}
    response = client.post(url, three)
    text = html.unescape(response.content.decode())
    assert "F major over three octaves does not fit the range of the violin" in text
    assert "G major over three octaves" not in text
    assert "Make the others without these" in text
    assert not Excerpt.objects.exists()
    client.post(url, {**three, "leave_out": "on"})
    titles = set(Excerpt.objects.values_list("title", flat=True))
    assert "G major, three octaves" in titles
    assert "F major, three octaves" not in titles


def test_second_submit_makes_nothing_twice(as_user, director, url, chosen):
    client = as_user(director)
    client.post(url, chosen)
    response = client.post(url, {**chosen, "sharps": "5"}, follow=True)
    assert "1 sheet was made; 5 were in the library already." in response.content.decode()
    assert Excerpt.objects.count() == 6


@pytest.mark.parametrize(
    ("change", "field"),
    [({"sharps": "8"}, "sharps"), ({"kinds": []}, "kinds"), ({"marked_bpm": "0"}, "marked_bpm")],
)
def test_bad_input_is_shown_at_its_field(as_user, director, url, chosen, change, field):
    response = as_user(director).post(url, {**chosen, **change})
    assert field in response.context["form"].errors
    assert not Excerpt.objects.exists()


def test_too_many_at_once_are_refused(as_user, director, url, chosen):
    kinds = ["major", "natural_minor", "harmonic_minor", "melodic_minor", "chromatic"]
    response = as_user(director).post(url, {**chosen, "kinds": kinds, "sharps": "7", "flats": "7"})
    assert "These are 75 sheets; please make at most 60 at once." in response.content.decode()


def test_anonymous_is_asked_to_sign_in(as_user, studio, url):
    assert as_user(None).post(url).url.startswith(reverse("account_login"))


@pytest.mark.parametrize("who", ["teacher", "student_user", "guardian"])
def test_only_directors_make_sets(as_user, request, url, chosen, who):
    assert as_user(request.getfixturevalue(who)).post(url, chosen).status_code == 403
    assert not Excerpt.objects.exists()


def test_order_and_tonics_of_a_set():
    majors = scales_of_set(["major"], sharps=2, flats=2)
    assert [scale.tonic for scale in majors] == ["C", "G", "D", "F", "Bb"]
    assert [tonic_of(k, "harmonic_minor") for k in range(-7, 8)] == [
        *("Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#", "G#", "D#", "A#"),
    ]
    assert [tonic_of(k, "dominant_seventh") for k in (-1, 0, 1)] == ["C", "G", "D"]
