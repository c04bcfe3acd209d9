import pytest
from django.urls import reverse

pytestmark = pytest.mark.django_db


@pytest.fixture
def unsure(excerpt):
    excerpt.order_confirmed = False
    excerpt.save()
    return excerpt


@pytest.fixture
def url(unsure):
    return reverse("excerpt_confirm", args=[unsure.pk])


def test_director_confirms_once_or_twice(as_user, director, url, unsure):
    client = as_user(director)
    for _ in range(2):
        assert client.post(url).url == reverse("excerpt_detail", args=[unsure.pk])
    unsure.refresh_from_db()
    assert unsure.order_confirmed


def test_by_post_only(as_user, director, url, unsure):
    assert as_user(director).get(url).status_code == 405


@pytest.mark.parametrize("who", ["teacher", "student_user", "guardian"])
def test_those_who_see_it_may_not_confirm(as_user, request, url, unsure, entry, requirement, who):
    assert as_user(request.getfixturevalue(who)).post(url).status_code == 403
    unsure.refresh_from_db()
    assert not unsure.order_confirmed


def test_strangers_find_nothing(as_user, other_student, url, requirement):
    assert as_user(other_student.user).post(url).status_code == 404


def test_anonymous_is_asked_to_sign_in(as_user, url):
    assert as_user(None).post(url).url.startswith(reverse("account_login"))
