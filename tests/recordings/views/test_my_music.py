from datetime import timedelta

from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from recordings.models import Mark, Review
from studio.models import Entry, Question, Requirement
from tests.recordings.conftest import finish, plain_take

URL = "/my-music/"


def words(response) -> str:
    return response.content.decode()


def test_works(as_user, student_user, entry, requirement):
    page = words(as_user(student_user).get(URL))
    assert "Lamp Etude" in page
    assert "quarter note = 96" in page
    assert "88 to 104 accepted" in page
    assert "the whole piece (4 bars)" in page
    assert "days left" in page
    assert "nothing yet" in page
    assert reverse("requirement_takes", args=[entry.pk, requirement.pk]) in page


def test_bars_and_repeats(as_user, student_user, entry, requirement):
    Requirement.objects.update(from_bar="2", to_bar="4", with_repeats=False)
    page = words(as_user(student_user).get(URL))
    assert "2 to 4" in page
    assert "left out" in page


def test_nothing_of_others(as_user, other_student_user, other_student, entry, requirement):
    page = words(as_user(other_student_user).get(URL))
    assert "Lamp Etude" not in page
    assert "no audition to prepare yet" in page


def test_a_person_without_a_student(as_user, teacher):
    assert "No student is tied to this account" in words(as_user(teacher).get(URL))


def test_anonymous(as_user, db):
    assert as_user(None).get(URL).status_code == 302


def test_only_for_reading(as_user, student_user):
    assert as_user(student_user).post(URL).status_code == 405


def test_the_auditions_rules(as_user, student_user, audition, entry):
    audition.notes = "No spoken name."
    audition.save()
    assert "No spoken name." in as_user(student_user).get(reverse("my_music")).content.decode()


def test_what_a_released_review_asks_for_is_shown(as_user, student_user, entry, requirement):
    take = plain_take(entry, requirement)
    finish(take, complete=False)
    review = Review.objects.create(take=take)
    for caption in requirement.rubric.captions.all():
        Mark.objects.create(review=review, caption=caption, value=9)
    client = as_user(student_user)
    assert "not complete" not in words(client.get(URL))
    review.state = Review.State.RELEASED
    review.save()
    page = words(client.get(URL))
    assert "back to work" in page
    assert "The take is not complete." in page


def test_an_answered_question_is_pointed_out_for_two_weeks(
    as_user, student_user, student, entry, requirement
):
    question = Question.objects.create(
        student=student, excerpt=requirement.excerpt, from_bar="2", text="Up or down?", asked_by=student_user
    )
    address = reverse("question_detail", args=[question.pk])
    assert address not in words(as_user(student_user).get(URL))
    question.answer = "Down."
    question.give_answer(student.teacher)
    assert address in words(as_user(student_user).get(URL))
    Question.objects.update(answered_at=timezone.now() - timedelta(days=15))
    assert address not in words(as_user(student_user).get(URL))


def test_after_the_closing_time_no_days_are_counted(as_user, student_user, entry, requirement, audition):
    audition.closes_at = timezone.now() - timedelta(days=1)
    audition.save()
    page = words(as_user(student_user).get(URL))
    assert "closed on" in page
    assert "days left" not in page


def test_the_number_of_queries_does_not_grow(as_user, student_user, student, entry, requirement, audition):
    client = as_user(student_user)
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as queries:
            assert client.get(URL).status_code == 200
        counts.append(len(queries))
        for _ in range(3):
            audition.pk = None
            audition.save()
            Entry.objects.create(student=student, audition=audition, instrument="violin", level="senior")
            requirement.pk, requirement.audition = None, audition
            requirement.save()
    assert counts[0] == counts[1]
