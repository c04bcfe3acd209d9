"""All there is of one student, on a line of time."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from recordings.models import Remark, Review, Take
from recordings.reviews.student_file import settling_of
from studio.models import Question
from tests.recordings.measured_take import make_take

KEPT = Remark.Verdict.KEPT


@pytest.fixture
def url(student):
    return reverse("student_file", args=[student.pk])


def answered(entry, requirement, *bars: str, days_ago: int, words: str = "") -> Take:
    take = make_take(entry, requirement)
    Take.objects.filter(pk=take.pk).update(uploaded_at=timezone.now() - timedelta(days=days_ago))
    review = Review.objects.create(
        take=take, state=Review.State.RELEASED, released_at=timezone.now(), words=words
    )
    for place in bars:
        Remark.objects.create(review=review, bars=place, verdict=KEPT, own_text=f"On {place}.")
    return take


def test_takes_answers_and_questions_the_latest_first(as_user, teacher, student, entry, requirement, url):
    answered(entry, requirement, "2", days_ago=9, words="A warm tone.")
    Question.objects.create(
        student=student,
        excerpt=requirement.excerpt,
        from_bar="3",
        text="Which bow?",
        asked_at=timezone.now() - timedelta(days=5),
    )
    make_take(entry, requirement)
    page = as_user(teacher).get(url)
    assert [row.kind for row in page.context["rows"]] == ["take", "question", "take"]
    text = page.content.decode()
    for words in ("A warm tone.", "On 2.", "Which bow?", "not answered"):
        assert words in text


def test_what_is_only_a_draft_is_told_as_not_answered(as_user, teacher, entry, requirement, url):
    review = Review.objects.create(take=make_take(entry, requirement), words="A draft.")
    Remark.objects.create(review=review, bars="2", verdict=KEPT, own_text="Not sent.")
    text = as_user(teacher).get(url).content.decode()
    assert "A draft." not in text
    assert "Not sent." not in text


def test_bars_named_again_newly_and_no_longer(student, entry, requirement):
    answered(entry, requirement, "1", "2-3", days_ago=9)
    answered(entry, requirement, "1", days_ago=6)
    answered(entry, requirement, "3-4", days_ago=1)
    [piece] = settling_of(student)
    assert (piece.answers, piece.staying, piece.new, piece.settled) == (3, "3", "4", "1-2")


def test_one_answer_says_nothing_of_settling(student, entry, requirement):
    answered(entry, requirement, "1", days_ago=3)
    assert settling_of(student) == []


def test_praise_and_asking_again_name_no_bars(student, entry, requirement):
    answered(entry, requirement, "1", days_ago=9)
    praised = answered(entry, requirement, "2", days_ago=6)
    Remark.objects.filter(review__take=praised).update(finding={"strength": True})
    again = answered(entry, requirement, "3", days_ago=3)
    Review.objects.filter(take=again).update(again=Review.Again.choices[0][0])
    [piece] = settling_of(student)
    assert (piece.answers, piece.staying, piece.new, piece.settled) == (2, "", "", "1")


def test_it_is_for_who_teaches_the_student(
    as_user, director, teacher, other_teacher, student_user, guardian, url
):
    statuses = [
        as_user(person).get(url).status_code
        for person in (director, teacher, other_teacher, student_user, guardian, None)
    ]
    assert statuses == [200, 200, 404, 403, 403, 302]


def test_as_many_queries_for_a_long_file(as_user, teacher, entry, requirement, url):
    answered(entry, requirement, "1", days_ago=40)
    answered(entry, requirement, "2", days_ago=39)
    browser = as_user(teacher)
    browser.get(url)
    with CaptureQueriesContext(connection) as short:
        browser.get(url)
    for number in range(30):
        answered(entry, requirement, "2", "3", days_ago=number)
    with CaptureQueriesContext(connection) as long:
        page = browser.get(url)
    assert len(long) == len(short)
    assert len(page.context["rows"]) == 25
