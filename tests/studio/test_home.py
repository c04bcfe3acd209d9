import pytest

from studio.models import Role
from tests.conftest import make_person


@pytest.mark.parametrize(
    ("role", "room"),
    [
        ("director", "/readiness/"),
        ("teacher", "/reviews/"),
        ("student", "/my-music/"),
        ("guardian", "/children/"),
    ],
)
def test_each_role_lands_in_its_room(studio, as_user, role, room):
    response = as_user(make_person("Lena Vogt", role)).get("/")
    assert response.status_code == 302
    assert response.url == room


def test_several_roles_are_offered_a_choice(studio, as_user):
    page = as_user(make_person("Lena Vogt", Role.STUDENT, Role.GUARDIAN)).get("/")
    assert page.status_code == 200
    assert 'href="/my-music/"' in page.text
    assert 'href="/children/"' in page.text
    assert 'href="/people/"' not in page.text


@pytest.mark.parametrize(
    ("roles", "room"),
    [
        ((Role.TEACHER, Role.GUARDIAN), "/reviews/"),
        ((Role.TEACHER, Role.DIRECTOR, Role.GUARDIAN), "/readiness/"),
    ],
)
def test_the_studios_work_comes_before_a_persons_other_roles(studio, as_user, roles, room):
    assert as_user(make_person("Lena Vogt", *roles)).get("/").url == room


def test_no_role_gets_a_sentence(studio, as_user):
    page = as_user(make_person("Lena Vogt")).get("/")
    assert "no role in this studio yet" in page.text


def test_anonymous_signs_in_first(studio, client):
    assert client.get("/").url == "/accounts/login/?next=/"
