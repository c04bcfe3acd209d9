"""Questions at a bar: who asks, who answers, who reads what."""

import html

import pytest
from django.urls import reverse

from studio.models import Question

pytestmark = pytest.mark.django_db


@pytest.fixture
def add(excerpt):
    return reverse("question_add", args=[excerpt.pk])


@pytest.fixture
def page(excerpt):
    return reverse("excerpt_detail", args=[excerpt.pk])


@pytest.fixture
def typed():
    return {"from_bar": "2", "to_bar": "", "text": "Is this trill from above?"}


@pytest.fixture
def question(excerpt, student, student_user, entry, requirement):
    return Question.objects.create(
        excerpt=excerpt, student=student, asked_by=student_user, from_bar="2", to_bar="2", text="From above?"
    )


@pytest.fixture
def address(question):
    return reverse("question_detail", args=[question.pk])


@pytest.fixture
def other_entry(other_student, audition):
    return other_student.entries.create(audition=audition, instrument="violin", level="senior")


def wording(response) -> str:
    return html.unescape(response.content.decode())


def test_a_student_asks_at_a_bar_and_the_teacher_finds_it(
    as_user, student_user, teacher, student, entry, requirement, add, page, typed
):
    client = as_user(student_user)
    assert 'value="2"' in wording(client.get(f"{add}?bar=2"))
    assert client.post(add, typed).url == page
    question = Question.objects.get()
    assert (question.student, question.asked_by, question.bars_text) == (student, student_user, "bar 2")
    assert "Is this trill from above?" in wording(client.get(page))
    assert "Is this trill from above?" in wording(as_user(teacher).get(reverse("question_list")))
    assert "1 question waits for your answer" in wording(as_user(teacher).get(reverse("review_queue")))


def test_a_guardian_asks_for_the_child(as_user, guardian, student, entry, requirement, add, typed):
    as_user(guardian).post(add, typed)
    question = Question.objects.get()
    assert (question.student, question.asked_by) == (student, guardian)


def test_a_guardian_of_two_says_for_whom(
    as_user, guardian, student, other_student, entry, other_entry, requirement, add, typed
):
    other_student.guardianships.create(guardian=guardian)
    client = as_user(guardian)
    assert client.post(add, typed).context["form"].errors["student"]
    client.post(add, {**typed, "student": other_student.pk})
    assert Question.objects.get().student == other_student


def test_a_bar_that_is_not_there_is_shown_and_nothing_typed_is_lost(
    as_user, student_user, entry, requirement, add, typed
):
    response = as_user(student_user).post(add, {**typed, "from_bar": "9"})
    assert response.context["form"].errors["from_bar"] == [
        "Bar 9 is not in this score, which has bars 1 to 4."
    ]
    assert "Is this trill from above?" in wording(response)
    assert not Question.objects.exists()


def test_the_answer_stands_at_the_bar(as_user, teacher, student_user, guardian, question, address, page):
    as_user(teacher).post(address, {"answer": "From the main note.", "shared_text": ""})
    question.refresh_from_db()
    assert (question.answered_by, question.is_open, question.is_shared) == (teacher, False, False)
    for reader in (student_user, guardian):
        assert "From the main note." in wording(as_user(reader).get(page))
    assert "No question waits" in wording(as_user(teacher).get(reverse("question_list")))


def test_an_empty_answer_leaves_it_open(as_user, teacher, question, address):
    response = as_user(teacher).post(address, {"answer": "  "})
    assert "the question stays open until then" in wording(response)
    question.refresh_from_db()
    assert question.is_open


def test_answering_again_changes_the_answer(as_user, teacher, question, address):
    for answer in ("First.", "Better."):
        assert as_user(teacher).post(address, {"answer": answer}).status_code == 302
    question.refresh_from_db()
    assert question.answer == "Better."


def test_others_who_play_it_read_a_shared_answer_without_the_name(
    as_user, teacher, other_student_user, other_entry, question, address, page
):
    client = as_user(other_student_user)
    as_user(teacher).post(address, {"answer": "From the main note."})
    assert "From the main note." not in wording(client.get(page))
    shared = {"answer": "From the main note.", "is_shared": "on", "shared_text": "How does the trill begin?"}
    as_user(teacher).post(address, shared)
    text = wording(client.get(page))
    assert "From the main note." in text
    assert "How does the trill begin?" in text
    assert "From above?" not in text
    assert "Tannhof" not in text
    assert client.get(address).status_code == 404


def test_an_open_question_is_nobody_elses(
    as_user, other_student_user, other_guardian, other_teacher, other_entry, question, address, page
):
    for stranger in (other_student_user, other_guardian, other_teacher):
        assert as_user(stranger).get(address).status_code == 404
        assert "From above?" not in wording(as_user(stranger).get(page))
    assert "From above?" not in wording(as_user(other_teacher).get(reverse("question_list")))


def test_only_an_open_question_is_taken_back_by_the_asker(as_user, student_user, teacher, question, address):
    remove = reverse("question_remove", args=[question.pk])
    as_user(teacher).post(address, {"answer": "Yes."})
    assert as_user(student_user).post(remove).status_code == 403
    Question.objects.filter(pk=question.pk).update(answered_at=None)
    client = as_user(student_user)
    assert client.post(remove).status_code == 302
    assert client.post(remove).status_code == 404


def test_the_list_costs_the_same_for_one_question_and_for_sixty(
    as_user, teacher, question, student, django_assert_max_num_queries
):
    for k in range(60):
        Question.objects.create(
            excerpt=question.excerpt, student=student, from_bar="1", to_bar="1", text=f"Number {k}?"
        )
    client = as_user(teacher)
    client.get(reverse("question_list"))
    with django_assert_max_num_queries(7):
        page = client.get(reverse("question_list")).context["page"]
    assert (len(page), page.paginator.num_pages) == (25, 3)
