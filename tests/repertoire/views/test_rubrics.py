"""Seeing marking forms: the list and one form."""

import pytest
from django.urls import reverse

from repertoire.models import Rubric

pytestmark = pytest.mark.django_db


@pytest.fixture
def listed():
    return reverse("rubric_list")


@pytest.fixture
def url(rubric):
    return reverse("rubric_detail", args=[rubric.pk])


@pytest.mark.parametrize("who", ["director", "teacher"])
def test_staff_see_the_forms(as_user, request, listed, url, who):
    client = as_user(request.getfixturevalue(who))
    text = client.get(listed).content.decode()
    assert url in text
    assert (reverse("rubric_add") in text) == (who == "director")
    text = client.get(url).content.decode()
    for wording in ("Intonation", "1–10", "nothing; for the ear"):
        assert wording in text


@pytest.mark.parametrize("who", ["student_user", "guardian"])
def test_forms_are_the_staffs(as_user, request, listed, url, who):
    client = as_user(request.getfixturevalue(who))
    assert client.get(listed).status_code == 403
    assert client.get(url).status_code == 404


def test_anonymous_is_asked_to_sign_in(as_user, listed, url):
    for address in (listed, url):
        assert as_user(None).get(address).url.startswith(reverse("account_login"))


def test_queries_do_not_grow_with_the_forms(
    as_user, teacher, listed, rubric, django_assert_max_num_queries, django_assert_num_queries
):
    client = as_user(teacher)
    client.get(listed)
    with django_assert_max_num_queries(12) as few:
        client.get(listed)
    for number in range(10):
        more = Rubric.objects.create(name=f"Form {number}")
        more.captions.create(name="Tone")
    with django_assert_num_queries(len(few)):
        client.get(listed)


def test_what_is_written_in_a_form_stays_words(as_user, director, rubric, url):
    rubric.notes = "<b onclick=x>bold</b>"
    rubric.save()
    assert "<b onclick" not in as_user(director).get(url).content.decode()
