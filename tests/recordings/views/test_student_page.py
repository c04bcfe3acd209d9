import pytest
from django.urls import reverse


@pytest.fixture
def url(student):
    return reverse("student_page", args=[student.pk])


@pytest.mark.parametrize("person", ["student_user", "guardian", "teacher", "director"])
def test_works(request, as_user, person, url, entry, requirement):
    page = as_user(request.getfixturevalue(person)).get(url)
    assert page.status_code == 200
    assert "Lamp Etude" in page.content.decode()


@pytest.mark.parametrize("person", ["other_student_user", "other_guardian", "other_teacher"])
def test_strangers(request, as_user, person, url, entry):
    assert as_user(request.getfixturevalue(person)).get(url).status_code == 404


def test_anonymous(as_user, url):
    assert as_user(None).get(url).status_code == 302


def test_only_for_reading(as_user, student_user, url):
    assert as_user(student_user).post(url).status_code == 405


def test_nobody_else_is_named(as_user, guardian, url, entry, requirement, other_student):
    assert other_student.name not in as_user(guardian).get(url).content.decode()
