from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from recordings.jobs.queue import oldest_waiting_s
from recordings.models import Analysis


@pytest.fixture
def url(measured):
    return reverse("take_measure_again", args=[measured.pk])


@pytest.mark.parametrize("person", ["teacher", "director"])
def test_works(request, as_user, person, url, measured):
    response = as_user(request.getfixturevalue(person)).post(url)
    assert response.url == reverse("take_detail", args=[measured.pk])
    measured.analysis.refresh_from_db()
    assert measured.analysis.state == Analysis.State.WAITING


def test_its_waiting_is_counted_from_now(as_user, teacher, url):
    Analysis.objects.update(created_at=timezone.now() - timedelta(days=9))
    as_user(teacher).post(url)
    assert oldest_waiting_s() < 60


def test_a_second_time_while_it_waits(as_user, teacher, url):
    client = as_user(teacher)
    client.post(url)
    assert "is being measured already" in client.post(url, follow=True).content.decode()


@pytest.mark.parametrize("person", ["student_user", "guardian"])
def test_the_known_but_not_allowed(request, as_user, person, url, measured):
    assert as_user(request.getfixturevalue(person)).post(url).status_code == 403
    measured.analysis.refresh_from_db()
    assert measured.analysis.state == Analysis.State.DONE


@pytest.mark.parametrize("person", ["other_student_user", "other_guardian", "other_teacher"])
def test_strangers(request, as_user, person, url):
    assert as_user(request.getfixturevalue(person)).post(url).status_code == 404


def test_anonymous(as_user, url):
    assert as_user(None).post(url).status_code == 302


def test_only_by_post(as_user, teacher, url):
    assert as_user(teacher).get(url).status_code == 405
