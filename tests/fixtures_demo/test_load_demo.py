"""`manage.py load_demo`: everything once, in every state, and never over a studio of real people."""

from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import call_command
from django.db import transaction

from fixtures.sounds.takes import TAKES
from recordings.demo.plan import read_plan
from recordings.models import Analysis, Review, Take
from recordings.readiness.kept import count_states
from recordings.readiness.rules import State
from repertoire.models import BarNote
from studio.models import Clinic, Entry, Question, Student, Studio, User
from studio.services.questions import questions_on

# Without the mark this file run alone would get no database of its own and load into the person's.
pytestmark = [pytest.mark.django_db, pytest.mark.slow]


@pytest.fixture(scope="module")
def demo(django_db_setup, django_db_blocker):
    """The demo loaded once for all tests of this file, which only read it; the folder its takes lie in."""
    with django_db_blocker.unblock(), transaction.atomic():
        call_command("load_demo", verbosity=0)
        yield Path(settings.MEDIA_ROOT)
        transaction.set_rollback(True)


def test_everyone_signs_in_with_the_demo_password(demo):
    password = read_plan()["password"]
    for role in ("director", "teacher", "student", "guardian"):
        user = User.objects.get(email=f"{role}@demo.example")
        assert user.check_password(password)
        assert user.has_role(role)


def test_the_studio_says_it_is_invented(demo):
    assert Studio.current().invented


def test_there_are_enough_students_on_six_instruments(demo):
    assert Student.objects.count() >= 8
    assert len(set(Student.objects.values_list("instrument", flat=True))) == 6


def test_every_take_of_the_plan_is_stored_and_every_demo_sound_is_used(demo):
    plan = read_plan()
    assert Take.objects.count() == len(plan["takes"])
    assert {row["sound"] for row in plan["takes"] if "sound" in row} == {take.name for take in TAKES}
    for take in Take.objects.all():
        assert (demo / take.sound.name).stat().st_size == take.size


def test_every_state_is_on_show(demo):
    assert all(count_states(Entry.objects.all())[state] for state in State)


def test_one_minor_has_no_consent_and_one_take_is_no_sound(demo):
    assert [student.name for student in Student.objects.all() if not student.may_record] == [
        "Ravi Sorensen",
        "Sami Duarte",
    ]
    failed = Analysis.objects.get(state=Analysis.State.FAILED)
    assert failed.failure


def test_only_the_takes_meant_to_wait_are_left_for_the_workers_and_the_sweep_finds_them(demo):
    """Fails where a score, a sound or the version changed: `python -m fixtures.make_analyses` mends it."""
    waiting = Analysis.objects.filter(state=Analysis.State.WAITING)
    assert waiting.count() == sum(row.get("unmeasured", False) for row in read_plan()["takes"])
    assert set(waiting) <= set(Analysis.objects.stalled())


def test_the_takes_left_for_the_workers_do_not_look_like_a_queue_nobody_works_at(demo, client):
    response = client.get("/healthz")
    assert response.status_code == 200, response.json()
    assert response.json()["queue_age_s"] is not None


def test_reviews_come_in_every_state_with_their_history(demo):
    assert set(Review.objects.values_list("state", flat=True)) == set(Review.State.values)
    withdrawn = Review.objects.get(state=Review.State.WITHDRAWN)
    assert [event.kind for event in withdrawn.events.all()] == ["drafted", "released", "withdrawn"]


def test_every_kind_of_bar_note_is_on_show(demo):
    assert set(BarNote.objects.values_list("kind", flat=True)) == set(BarNote.Kind.values)


def test_the_student_of_the_demo_sees_an_open_question_an_answer_without_a_name_and_a_clinic(demo):
    student = User.objects.get(email="student@demo.example")
    clinic = Clinic.objects.visible_to(student).upcoming().get()
    lines = questions_on(clinic.excerpt, student)
    assert sorted(line.is_open for line in lines) == [False, True]
    answered = next(line for line in lines if not line.is_open)
    assert answered.pk is None
    assert answered.text == Question.objects.shared().get().shared_text


def test_the_teacher_of_the_demo_has_a_question_to_answer(demo):
    teacher = User.objects.get(email="teacher@demo.example")
    assert Question.objects.to_answer_by(teacher).open().count() == 1


def test_loading_twice_changes_nothing(demo, capsys):
    before = (User.objects.count(), Take.objects.count(), Review.objects.count())
    call_command("load_demo")
    assert "already" in capsys.readouterr().out
    assert (User.objects.count(), Take.objects.count(), Review.objects.count()) == before
