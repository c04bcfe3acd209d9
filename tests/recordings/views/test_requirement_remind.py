import re
from datetime import timedelta

import pytest
from django.utils import timezone

from studio.models import Notice, Requirement
from tests.mails import delivered


@pytest.fixture
def url(entry, requirement) -> str:
    return f"/entries/{entry.pk}/requirements/{requirement.pk}/remind/"


def subjects_and_words() -> list[tuple[str, str]]:
    return [(message.subject, message.body) for message in delivered()]


def test_student_and_guardian_are_mailed(as_user, teacher, url, student_user, guardian):
    response = as_user(teacher).post(url, follow=True)
    assert response.redirect_chain[-1][0] == "/this-week/"
    assert "2 mails are on their way." in response.text
    sent = delivered()
    assert sorted(message.to[0] for message in sent) == sorted([student_user.email, guardian.email])
    assert {message.subject for message in sent} == {"Linden Studio: a take is awaited"}
    assert all("A take is due by" in message.body for message in sent)
    assert all(url.replace("remind/", "") in message.body for message in sent)


def test_after_the_deadline_it_says_so(as_user, director, url):
    Requirement.objects.update(due_at=timezone.now() - timedelta(days=3))
    as_user(director).post(url)
    for subject, words in subjects_and_words():
        assert subject == "Linden Studio: a take is awaited"
        assert "A take was due by" in words
        assert "If something keeps you from it, tell your teacher." in words


def test_in_german_the_day_is_written_as_germans_write_it(as_user, director, url, student_user, guardian):
    for person in (student_user, guardian):
        person.language = "de"
        person.save()
    as_user(director).post(url)
    for _subject, words in subjects_and_words():
        assert re.search(r"fällig bis \w+, \d+\. \w+, \d\d:\d\d ", words)


def test_it_goes_back_to_the_lines_that_were_chosen(as_user, director, url):
    response = as_user(director).post(url, {"need": "overdue", "page": "2"})
    assert response.url == "/this-week/?need=overdue&page=2"


def test_twice_in_a_day_mails_once(as_user, director, url):
    client = as_user(director)
    client.post(url)
    assert "Nobody was mailed" in client.post(url, follow=True).text
    assert len(delivered()) == 2


def test_the_next_day_it_may_be_asked_again(as_user, director, url, monkeypatch):
    client = as_user(director)
    client.post(url)
    tomorrow = timezone.now() + timedelta(days=1)
    monkeypatch.setattr("recordings.views.requirement_remind.timezone.now", lambda: tomorrow)
    client.post(url)
    assert Notice.objects.count() == 4


def test_who_has_switched_these_mails_off_gets_none(as_user, director, url, student_user, guardian):
    guardian.notices_off = [Notice.Kind.DEADLINE]
    guardian.save()
    as_user(director).post(url)
    assert [message.to for message in delivered()] == [[student_user.email]]


def test_nobody_has_an_account(as_user, director, url, student):
    student.guardianships.all().delete()
    student.user = None
    student.save()
    assert "Nobody was mailed" in as_user(director).post(url, follow=True).text
    assert delivered() == []


@pytest.mark.parametrize(
    ("person", "status"),
    [("other_teacher", 404), ("student_user", 403), ("guardian", 403), ("other_guardian", 404)],
)
def test_only_who_teaches(request, as_user, person, status, url):
    assert as_user(request.getfixturevalue(person)).post(url).status_code == status
    assert delivered() == []


def test_not_by_reading(as_user, director, url):
    assert as_user(director).get(url).status_code == 405
