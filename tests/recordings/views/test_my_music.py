from datetime import timedelta

from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from recordings.models import Mark, Review
from recordings.reviews.release import release_review, withdraw_review
from studio.models import Entry, Question, Requirement
from tests.recordings.conftest import finish, plain_take

URL = "/my-music/"


def words(response) -> str:
    return response.content.decode()


def another(requirement, *, days: int, **changed) -> Requirement:
    """The same requirement once more, due so many days after it."""
    due_at = requirement.due_at + timedelta(days=days)
    fields = {"rubric": requirement.rubric, "excerpt": requirement.excerpt, "audition": requirement.audition}
    fields |= {name: getattr(requirement, name) for name in ("instrument", "level", "marked_bpm")}
    fields |= {"low_bpm": requirement.low_bpm, "high_bpm": requirement.high_bpm, "due_at": due_at}
    return Requirement.objects.create(**fields | changed)


def answered(take, *, value: int = 9, text: str = "Sing it.", at=None) -> Review:
    review = Review.objects.create(
        take=take, state=Review.State.RELEASED, words=text, released_at=at or timezone.now()
    )
    for caption in take.requirement.rubric.captions.all():
        Mark.objects.create(review=review, caption=caption, value=value)
    return review


def test_the_piece_due_next_is_the_one_large_card(as_user, student_user, entry, requirement):
    later = another(requirement, days=3)
    page = words(as_user(student_user).get(URL))
    now, rest = page.split('class="sheet now"')[1].split("</section>", 1)
    assert "Lamp Etude" in now
    assert "nothing yet" in now
    assert "days left" in now
    assert reverse("requirement_takes", args=[entry.pk, requirement.pk]) in now
    assert reverse("requirement_takes", args=[entry.pk, later.pk]) in rest


def test_what_waits_for_the_teacher_past_its_date_makes_room_for_the_next(
    as_user, student_user, entry, requirement
):
    later = another(requirement, days=3)
    finish(plain_take(entry, requirement))
    Requirement.objects.filter(pk=requirement.pk).update(due_at=timezone.now() - timedelta(days=2))
    now, rest = words(as_user(student_user).get(URL)).split('class="sheet now"')[1].split("</section>", 1)
    assert reverse("requirement_takes", args=[entry.pk, later.pk]) in now
    assert "waiting for review" in rest


def test_the_teachers_last_words_are_quoted(as_user, student_user, teacher, entry, requirement):
    finish(plain_take(entry, requirement, minutes_ago=90), complete=False)
    review = answered(entry.takes.get(), text="Let the long notes ring.")
    Review.objects.update(reviewer=teacher)
    page = words(as_user(student_user).get(URL))
    assert "<blockquote" in page
    assert "Let the long notes ring." in page
    assert teacher.name in page.split("<blockquote")[1]
    review.state = Review.State.WITHDRAWN
    review.save()
    assert "Let the long notes ring." not in words(as_user(student_user).get(URL))


def test_finished_pieces_are_folded(as_user, student_user, entry, requirement):
    another(requirement, days=3)
    take = plain_take(entry, requirement)
    finish(take)
    answered(take)
    page = words(as_user(student_user).get(URL))
    folded = page.split("<details")[1].split("</details>")[0]
    assert reverse("requirement_takes", args=[entry.pk, requirement.pk]) in folded
    assert "<details open" not in page


def test_a_new_answer_is_marked_until_its_player_opens_it(
    as_user, student_user, guardian, teacher, entry, requirement
):
    take = plain_take(entry, requirement)
    finish(take)
    review = answered(take)
    client = as_user(student_user)
    assert "new answer" in words(client.get(URL))
    for other in (guardian, teacher):
        as_user(other).get(reverse("take_detail", args=[take.pk]))
    assert "new answer" in words(client.get(URL))
    client.get(reverse("take_detail", args=[take.pk]))
    assert "new answer" not in words(client.get(URL))
    withdraw_review(review, by=teacher)
    release_review(review, by=teacher)
    assert "new answer" in words(client.get(URL))


def test_a_child_without_an_account_has_its_answers_opened_by_a_guardian(
    as_user, guardian, student, entry, requirement
):
    student.user = None
    student.save()
    take = plain_take(entry, requirement)
    finish(take)
    answered(take)
    client, address = as_user(guardian), reverse("student_page", args=[student.pk])
    assert "new answer" in words(client.get(address))
    client.get(reverse("take_detail", args=[take.pk]))
    assert "new answer" not in words(client.get(address))


def test_the_same_music_twice_is_told_apart(as_user, student_user, entry, requirement):
    another(requirement, days=3, from_bar="2", to_bar="4")
    page = words(as_user(student_user).get(URL))
    assert "all 4 bars" in page
    assert "bars 2-4" in page
    assert page.count("Youth orchestra") >= 2


def test_a_missing_agreement_is_said_here(as_user, student_user, guardian, student, entry, requirement):
    said = "guardian has to agree"
    assert said not in words(as_user(student_user).get(URL))
    student.consents.get().withdraw()
    assert said in words(as_user(student_user).get(URL))
    page = words(as_user(guardian).get(reverse("student_page", args=[student.pk])))
    assert reverse("consent", args=[student.pk]) in page


def test_an_entry_made_today_is_not_overdue_today(as_user, student_user, entry, requirement):
    requirement.due_at = timezone.now() - timedelta(days=2)
    requirement.save()
    page = words(as_user(student_user).get(URL))
    assert "overdue" not in page
    assert "Entered today" in page
    entry.made_at = timezone.now() - timedelta(days=1)
    entry.save()
    assert "overdue" in words(as_user(student_user).get(URL))


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
    assert "keep practising" in page
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
    assert 'class="sheet now"' not in page
    assert "days left" not in page
    assert "Finished" in page


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
