"""Mail that something has come: to whom, how often, and what it does not say."""

from datetime import timedelta

import pytest
from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from studio.models import Notice, Question
from studio.services import notices
from tests.mails import delivered

pytestmark = pytest.mark.django_db
ANSWER, QUESTION, TAKE = Notice.Kind.ANSWER, Notice.Kind.QUESTION, Notice.Kind.TAKE


def told(kind, student, *, about="take 1", at=None):
    return notices.mail_matters(kind, student, abouts=[about], path="/takes/1/", at=at or timezone.now())


def receivers() -> list[str]:
    return sorted(message.to[0] for message in delivered())


@pytest.fixture
def question(excerpt, student, student_user, entry, requirement):
    return Question.objects.create(
        excerpt=excerpt, student=student, asked_by=student_user, from_bar="2", to_bar="2", text="From above?"
    )


def test_student_and_guardians_are_told_of_an_answer_and_the_student_alone_of_a_take(
    student, student_user, guardian, other_student
):
    told(ANSWER, student)
    assert receivers() == sorted([student_user.email, guardian.email])
    delivered().clear()
    told(TAKE, student)
    assert receivers() == [student_user.email]


def test_the_subject_names_studio_and_matter_and_the_body_leads_to_the_page(student, studio, settings):
    settings.SITE_ADDRESS = "https://studio.example"
    told(ANSWER, student)
    message = delivered()[0]
    assert message.subject == "Linden Studio: a take is answered"
    assert "https://studio.example/takes/1/\n" in message.body
    assert "https://studio.example/account/" in message.body


def test_what_is_switched_off_is_not_mailed(student, student_user, guardian):
    student_user.notices_off = [ANSWER]
    student_user.save()
    told(ANSWER, student)
    assert receivers() == [guardian.email]
    told(QUESTION, student)
    assert receivers() == sorted([student_user.email, guardian.email, guardian.email])


def test_a_closed_account_gets_nothing(student, student_user, guardian):
    student_user.is_active = False
    student_user.save()
    told(ANSWER, student)
    assert receivers() == [guardian.email]


def test_a_message_that_comes_twice_mails_once(student):
    at = timezone.now()
    assert told(ANSWER, student, at=at) == 2
    assert told(ANSWER, student, at=at) == 0
    Notice.objects.update(sent_at=at + timedelta(hours=5))
    assert told(ANSWER, student, at=at) == 0


def test_an_answer_released_again_within_the_hour_is_not_mailed_again_and_later_it_is(student):
    at = timezone.now()
    told(ANSWER, student, at=at)
    assert told(ANSWER, student, at=at + timedelta(minutes=40)) == 0
    assert told(ANSWER, student, at=at + timedelta(hours=2)) == 2


def test_what_is_told_and_its_mails_are_stored_together_or_not_at_all(student):
    with transaction.atomic():
        told(ANSWER, student)
        transaction.set_rollback(True)
    assert not Notice.objects.exists()
    assert not delivered()
    assert told(ANSWER, student) == 2


def test_an_answered_question_is_mailed_once_and_without_its_words(question, teacher, as_user):
    address = reverse("question_detail", args=[question.pk])
    for words in ("From below, on the beat.", "From below, before the beat."):
        as_user(teacher).post(address, {"answer": words})
    sent = delivered()
    assert len(sent) == 2  # one to the student, one to the guardian
    assert {message.subject for message in sent} == {"Linden Studio: a question is answered"}
    assert all(address in message.body and "below" not in message.body for message in sent)


def test_where_the_workers_cannot_be_reached_the_page_does_not_fail_and_no_mail_is_lost(
    question, teacher, as_user, monkeypatch, django_capture_on_commit_callbacks
):
    def away(*_args, **_kwargs):
        raise OSError

    monkeypatch.setattr("celery.current_app.send_task", away)
    with django_capture_on_commit_callbacks(execute=True):
        page = as_user(teacher).post(reverse("question_detail", args=[question.pk]), {"answer": "Below."})
    assert page.status_code == 302
    assert len(delivered()) == 2


def test_each_kind_is_switched_off_on_the_account_page(student_user, guardian, as_user):
    client = as_user(student_user)
    assert "when my take has arrived" in client.get("/account/").content.decode()
    assert client.post(reverse("account_notices"), {"wanted": [ANSWER]}).url == "/account/"
    student_user.refresh_from_db()
    assert sorted(student_user.notices_off) == [Notice.Kind.DEADLINE, QUESTION, TAKE]
    assert "when my take has arrived" not in as_user(guardian).get("/account/").content.decode()


def test_staff_are_offered_no_choice_of_mails_they_do_not_get(teacher, as_user):
    assert "when a question is answered" not in as_user(teacher).get("/account/").content.decode()
