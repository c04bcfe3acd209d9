import pytest
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import PermissionDenied

from repertoire.models import Excerpt
from studio.access import may_edit_repertoire, may_teach, may_upload_for, role_required, visible_excerpts
from studio.models import Entry, Role, Student
from tests.conftest import make_person


@pytest.fixture
def other_music(requirement):
    """Music that nobody's entry asks for."""
    spare = Excerpt.objects.get(pk=requirement.excerpt_id)
    spare.pk, spare.title = None, "Spare Etude"
    spare.save()
    return spare


def test_staff_see_all_music(director, teacher, excerpt, other_music):
    assert set(visible_excerpts(director)) == set(visible_excerpts(teacher)) == {excerpt, other_music}


def test_families_see_the_music_of_their_entries(
    student_user, guardian, other_student_user, other_student, entry, excerpt, other_music
):
    assert list(visible_excerpts(student_user)) == list(visible_excerpts(guardian)) == [excerpt]
    assert not visible_excerpts(other_student_user).exists()


def test_an_entry_at_another_level_shows_nothing(student_user, entry, requirement):
    Entry.objects.update(level="junior")
    assert not visible_excerpts(student_user).exists()


def test_who_sees_which_student(
    director, teacher, student_user, guardian, other_guardian, student, other_student
):
    def seen_by(user):
        return list(Student.objects.visible_to(user))

    assert seen_by(director) == [other_student, student]
    assert seen_by(teacher) == seen_by(student_user) == seen_by(guardian) == [student]
    assert seen_by(other_guardian) == [other_student]
    assert seen_by(AnonymousUser()) == []


def test_a_lapsed_role_shows_nothing_of_it(teacher, guardian, student):
    teacher.roles.all().delete()
    guardian.roles.all().delete()
    for user in (teacher, guardian):
        user.__dict__.pop("_role_names", None)
        assert not Student.objects.visible_to(user).exists()


def test_a_teacher_no_more_who_is_a_guardian_does_not_teach(teacher, student):
    teacher.roles.all().delete()
    teacher.grant(Role.GUARDIAN)
    student.guardianships.create(guardian=teacher)
    assert list(Student.objects.visible_to(teacher)) == [student]
    assert not may_teach(teacher, student)


def test_several_roles_do_not_show_a_student_twice(student, guardian, teacher):
    student.guardianships.create(guardian=teacher)
    teacher.grant(Role.GUARDIAN)
    assert list(Student.objects.visible_to(teacher)) == [student]


def test_who_may_hand_in_and_who_may_teach(
    director, teacher, other_teacher, student_user, guardian, other_guardian, student
):
    people = (director, teacher, other_teacher, student_user, guardian, other_guardian)
    may_upload = [may_upload_for(user, student) for user in people]
    assert may_upload == [True, True, False, True, True, False]
    assert [may_teach(user, student) for user in people] == [True, True, False, False, False, False]


def test_only_directors_change_the_music(director, teacher):
    assert may_edit_repertoire(director)
    assert not may_edit_repertoire(teacher)


def test_a_role_needed_is_a_role_held(rf, studio):
    guarded = role_required(Role.TEACHER)(lambda request: "in")
    request = rf.get("/")
    request.user = make_person("Lena Vogt", Role.TEACHER, Role.GUARDIAN)
    assert guarded(request) == "in"
    request.user = make_person("Nils Vogt", Role.GUARDIAN)
    with pytest.raises(PermissionDenied):
        guarded(request)
