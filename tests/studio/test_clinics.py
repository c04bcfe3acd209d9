"""A class on one piece for one evening: who is invited, what is read there, what is printed."""

import html
from datetime import UTC, datetime, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from repertoire.models import BarNote
from studio.models import Clinic, Question

pytestmark = pytest.mark.django_db


@pytest.fixture
def clinic(excerpt, teacher, entry, requirement):
    held_at = timezone.now() + timedelta(days=3)
    return Clinic.objects.create(excerpt=excerpt, leader=teacher, held_at=held_at, place="Room 2")


@pytest.fixture
def typed():
    return {"held_at": "2027-01-15T18:30", "place": "Room 2", "for_all": "on", "notes": "Bring a pencil."}


@pytest.fixture
def add(excerpt):
    return f"{reverse('clinic_add')}?excerpt={excerpt.pk}"


@pytest.fixture
def other_entry(other_student, audition):
    return other_student.entries.create(audition=audition, instrument="violin", level="senior")


def wording(response) -> str:
    return html.unescape(response.content.decode())


def test_a_teacher_sets_one_up_in_the_studios_time(as_user, teacher, excerpt, add, typed):
    client = as_user(teacher)
    assert "Time in Europe/Vienna." in wording(client.get(add))
    assert client.post(add, typed).status_code == 302
    clinic = Clinic.objects.get()
    assert clinic.held_at == datetime(2027, 1, 15, 17, 30, tzinfo=UTC)
    assert (clinic.leader, clinic.excerpt) == (teacher, excerpt)


def test_a_director_names_the_leader(as_user, director, teacher, add, typed):
    client = as_user(director)
    assert client.post(add, typed).context["form"].errors["leader"]
    client.post(add, {**typed, "leader": teacher.pk})
    assert Clinic.objects.get().leader == teacher


def test_without_anybody_invited_it_is_not_saved(as_user, teacher, add, typed, entry, requirement):
    del typed["for_all"]
    response = as_user(teacher).post(add, typed)
    assert "Please choose who is invited" in wording(response)
    assert "Bring a pencil." in wording(response)
    assert not Clinic.objects.exists()


def test_a_teacher_offers_own_students_and_keeps_those_invited_by_others(
    as_user, teacher, clinic, student, other_student, other_entry, typed
):
    clinic.for_all = False
    clinic.save()
    clinic.students.set([student, other_student])
    address = reverse("clinic_edit", args=[clinic.pk])
    assert other_student.name not in wording(as_user(teacher).get(address))
    del typed["for_all"]
    as_user(teacher).post(address, {**typed, "students": [student.pk]})
    assert set(clinic.students.all()) == {student, other_student}
    as_user(teacher).post(address, typed)
    assert set(clinic.students.all()) == {other_student}


def test_the_invited_find_it_on_their_page(as_user, student_user, guardian, student, clinic):
    address = reverse("clinic_detail", args=[clinic.pk])
    assert address in wording(as_user(student_user).get(reverse("my_music")))
    assert address in wording(as_user(guardian).get(reverse("student_page", args=[student.pk])))
    assert "Room 2" in wording(as_user(student_user).get(address))


def test_only_the_chosen_are_invited(as_user, clinic, student, student_user, other_student_user, other_entry):
    address = reverse("clinic_detail", args=[clinic.pk])
    assert as_user(other_student_user).get(address).status_code == 200
    clinic.for_all = False
    clinic.save()
    clinic.students.set([student])
    assert as_user(student_user).get(address).status_code == 200
    assert as_user(other_student_user).get(address).status_code == 404
    assert address not in wording(as_user(other_student_user).get(reverse("my_music")))


def test_the_evening_collects_notes_and_questions_in_print_order(as_user, teacher, clinic, student):
    excerpt = clinic.excerpt
    BarNote.objects.create(excerpt=excerpt, from_bar="3", to_bar="4", text="Third remark")
    Question.objects.create(excerpt=excerpt, student=student, from_bar="2", to_bar="2", text="Second remark")
    BarNote.objects.create(excerpt=excerpt, from_bar="1", to_bar="1", text="First remark")
    text = wording(as_user(teacher).get(reverse("clinic_detail", args=[clinic.pk])))
    assert text.index("First remark") < text.index("Second remark") < text.index("Third remark")
    assert student.name not in text


@pytest.fixture
def ask(clinic, other_student, other_entry):
    """`ask("Up-bow?")`: a question of another teacher's student; the address of its page."""

    def asked(text: str) -> str:
        question = Question.objects.create(
            excerpt=clinic.excerpt, student=other_student, from_bar="1", to_bar="1", text=text
        )
        return reverse("question_detail", args=[question.pk])

    return asked


def accept(as_user, person, clinic, student, **fields):
    return as_user(person).post(reverse("clinic_accept", args=[clinic.pk, student.pk]), fields)


def test_setting_up_a_clinic_for_all_opens_no_question_of_anothers_students(as_user, teacher, clinic, ask):
    assert as_user(teacher).get(ask("Up-bow?")).status_code == 404
    page = as_user(teacher).get(reverse("clinic_detail", args=[clinic.pk]))
    assert "Up-bow?" not in wording(page)


def test_the_leader_reads_what_is_asked_after_the_students_yes_and_no_name(
    as_user, teacher, other_student_user, clinic, other_student, ask
):
    before = ask("Asked before?")
    assert accept(as_user, other_student_user, clinic, other_student).status_code == 302
    after = ask("Up-bow?")
    leader = as_user(teacher)
    assert leader.get(before).status_code == 404
    assert other_student.name not in wording(leader.get(after))
    leader.post(after, {"answer": "Down."})
    question = Question.objects.get(text="Up-bow?")
    assert (question.answered_by, question.answer) == (teacher, "Down.")


def test_the_name_stands_there_only_where_that_was_agreed_to(
    as_user, teacher, other_guardian, clinic, other_student, ask
):
    accept(as_user, other_guardian, clinic, other_student, may_be_named="on")
    assert other_student.name in wording(as_user(teacher).get(ask("Up-bow?")))
    accept(as_user, other_guardian, clinic, other_student)
    assert other_student.name not in wording(as_user(teacher).get(ask("And here?")))


def test_the_leader_answers_but_does_not_show_it_to_everyone(
    as_user, teacher, other_student_user, clinic, other_student, ask
):
    accept(as_user, other_student_user, clinic, other_student)
    address = ask("Up-bow?")
    assert "is_shared" not in wording(as_user(teacher).get(address))
    as_user(teacher).post(address, {"answer": "Down.", "is_shared": "on", "shared_text": "Whose bow?"})
    question = Question.objects.get()
    assert (question.answer, question.is_shared, question.shared_text) == ("Down.", False, "")


def test_who_asks_is_shown_who_reads(
    as_user, teacher, other_student_user, clinic, other_student, other_entry
):
    add = reverse("question_add", args=[clinic.excerpt_id])
    assert teacher.name not in wording(as_user(other_student_user).get(add))
    accept(as_user, other_student_user, clinic, other_student)
    assert f"and {teacher.name}, who leads a clinic" in wording(as_user(other_student_user).get(add))


def test_the_leader_reads_nothing_more_of_who_no_longer_comes_plays_or_is_chosen(
    as_user, teacher, other_student_user, clinic, other_student, other_entry, ask
):
    accept(as_user, other_student_user, clinic, other_student)
    address, leader = ask("Up-bow?"), as_user(teacher)
    assert leader.get(address).status_code == 200
    clinic.for_all = False
    clinic.save()
    assert leader.get(address).status_code == 404
    clinic.students.set([other_student])
    assert leader.get(address).status_code == 200
    clinic.for_all = True
    clinic.save()
    other_entry.delete()
    assert leader.get(address).status_code == 404


def test_a_yes_is_taken_back(as_user, teacher, other_student_user, clinic, other_student, ask):
    accept(as_user, other_student_user, clinic, other_student)
    address = ask("Up-bow?")
    decline = reverse("clinic_decline", args=[clinic.pk, other_student.pk])
    assert as_user(other_student_user).post(decline).status_code == 302
    assert as_user(teacher).get(address).status_code == 404


def test_nobody_says_yes_for_anothers_child(as_user, guardian, other_guardian, clinic, student, other_entry):
    assert accept(as_user, other_guardian, clinic, student).status_code == 403
    assert accept(as_user, guardian, clinic, student).status_code == 302


def test_the_hand_out_names_no_student_and_holds_only_shared_questions(
    as_user, teacher, student_user, clinic, student
):
    shared = {
        "answer": "Yes.",
        "answered_at": timezone.now(),
        "is_shared": True,
        "shared_text": "Shared words",
    }
    base = {"excerpt": clinic.excerpt, "student": student, "from_bar": "1", "to_bar": "1"}
    Question.objects.create(**base, text="Private words", **shared)
    Question.objects.create(**base, text="Open words")
    for reader in (teacher, student_user):
        page = wording(as_user(reader).get(reverse("clinic_hand_out", args=[clinic.pk])))
        paper = page[page.index("<main") : page.index("</main>")]
        assert "Shared words" in paper
        assert "<svg" in paper
        for hidden in ("Private words", "Open words", student.name):
            assert hidden not in paper


def test_the_hand_out_comes_on_two_papers(as_user, student_user, clinic):
    BarNote.objects.create(excerpt=clinic.excerpt, from_bar="1", to_bar="1", text="Breathe #first *here*")
    client = as_user(student_user)
    address = reverse("clinic_paper", args=[clinic.pk])
    papers = [client.get(address, {"paper": paper}) for paper in ("a4", "letter")]
    assert all(answer.content.startswith(b"%PDF") for answer in papers)
    assert papers[0].content != papers[1].content
    assert client.get(address, {"paper": "napkin"}).status_code == 404


def test_removing_keeps_what_stands_at_the_bars(as_user, teacher, clinic):
    BarNote.objects.create(excerpt=clinic.excerpt, from_bar="1", to_bar="1", text="Stays")
    address = reverse("clinic_remove", args=[clinic.pk])
    client = as_user(teacher)
    assert client.post(address).status_code == 302
    assert client.post(address).status_code == 404
    assert BarNote.objects.exists()


def test_a_clinic_stays_in_sight_until_its_day_is_over(clinic):
    at = clinic.held_at
    assert clinic in Clinic.objects.upcoming(at)
    assert clinic not in Clinic.objects.upcoming(at + timedelta(days=1))
    assert clinic in Clinic.objects.past(at + timedelta(days=1))


def test_the_list_costs_the_same_for_one_clinic_and_for_sixty(
    as_user, teacher, clinic, django_assert_max_num_queries
):
    for _ in range(60):
        Clinic.objects.create(
            excerpt=clinic.excerpt, leader=teacher, held_at=clinic.held_at, place="Elsewhere"
        )
    client = as_user(teacher)
    with django_assert_max_num_queries(7):
        page = client.get(reverse("clinic_list")).context["page"]
    assert (len(page), page.paginator.num_pages) == (25, 3)
