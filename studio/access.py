"""Who may do what: strangers get 404, the known but not allowed 403.

Which rows a person may see stands with the rows (`visible_to` of each queryset); everything else here.
"""

from collections.abc import Callable
from functools import wraps
from typing import cast

from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.db.models import Exists, OuterRef, Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _

from repertoire.models import Excerpt
from studio.models import (
    Clinic,
    ClinicAcceptance,
    Entry,
    Handover,
    Question,
    Requirement,
    Student,
    User,
    students_playing,
)


def role_required(*roles: str) -> Callable:
    """Let in signed-in people who hold one of `roles`; everyone else signed in gets 403."""

    def decorate(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
        @login_required
        @wraps(view)
        def guarded(request: HttpRequest, *args, **kwargs) -> HttpResponse:
            if not cast(User, request.user).role_names.intersection(roles):
                raise PermissionDenied
            return view(request, *args, **kwargs)

        return guarded

    return decorate


def second_factor_for_staff(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Directors and teachers can switch on a second factor; others are told so."""

    @login_required
    @wraps(view)
    def guarded(request: HttpRequest, *args, **kwargs) -> HttpResponse:
        if not request.user.is_staff:
            raise PermissionDenied(_("A second factor is for directors and teachers."))
        return view(request, *args, **kwargs)

    return guarded


def student_or_404(user, pk: int) -> Student:
    return get_object_or_404(Student.objects.visible_to(user).select_related("teacher"), pk=pk)


def entry_or_404(user, pk: int) -> Entry:
    visible = Entry.objects.visible_to(user).select_related("student__teacher", "audition__season")
    return get_object_or_404(visible, pk=pk)


def may_teach(user, student: Student) -> bool:
    """The own teacher, who stands in for them now, and any director say what is said of the playing."""
    if user.is_director:
        return True
    return user.is_teacher and (student.teacher_id == user.pk or stands_in(user, student))


def stands_in(user, student: Student) -> bool:
    """Whether the student's teacher has handed them over to this person for now."""
    return Handover.objects.standing().filter(teacher=student.teacher_id, colleague=user).exists()


def may_upload_for(user, student: Student) -> bool:
    """The student, a guardian, the own teacher or a director may hand in a take."""
    own = student.user_id == user.pk
    return own or may_teach(user, student) or student.guardianships.filter(guardian=user).exists()


def visible_excerpts(user) -> QuerySet[Excerpt]:
    """Staff see all printed music; students and guardians what their own entries require."""
    if user.is_staff:
        return Excerpt.objects.all()
    entries = Entry.objects.visible_to(user).filter(
        audition=OuterRef("audition"), instrument=OuterRef("instrument"), level=OuterRef("level")
    )
    asked = Requirement.objects.filter(Exists(entries), excerpt=OuterRef("pk"))
    return Excerpt.objects.filter(Exists(asked))


def may_edit_repertoire(user) -> bool:
    return user.is_director


def may_answer(user: User, question: Question) -> bool:
    """The student's teacher, a director, and who leads a clinic on this music for this student."""
    if user.is_director or (user.is_teacher and question.student.teacher_id == user.pk):
        return True
    return user.is_teacher and Question.objects.filter(pk=question.pk).visible_to(user).exists()


def may_share_answer(user: User, question: Question) -> bool:
    """Whether all who play the music may read it is for the student's own teacher or a director to say."""
    return may_teach(user, question.student)


def may_name_asker(user: User, question: Question) -> bool:
    """Whoever may see the student, and the leader of a clinic where the student agreed to be named."""
    if Student.objects.visible_to(user).filter(pk=question.student_id).exists():
        return True
    return ClinicAcceptance.objects.filter(
        clinic__leader=user,
        clinic__excerpt=question.excerpt_id,
        student=question.student_id,
        may_be_named=True,
    ).exists()


def own_students_invited(user: User, clinic: Clinic):
    """Those for whom this person may say that they come."""
    own = Q(user=user) | Q(guardianships__guardian=user)
    return Student.objects.filter(own, pk__in=clinic.invited.values("pk")).distinct()


def invited_student_or_403(user: User, clinic: Clinic, student_id: int) -> Student:
    """An invited student this person speaks for; 403 for any other."""
    student = own_students_invited(user, clinic).filter(pk=student_id).first()
    if student is None:
        raise PermissionDenied
    return student


def own_students_playing(user: User, excerpt: Excerpt):
    """Those for whom this person may ask: the student's own account, and guardians for their children."""
    own = Q(user=user) | Q(guardianships__guardian=user)
    playing = students_playing(excerpt).values("pk")
    return Student.objects.filter(own, pk__in=playing).distinct()


def students_to_ask_for(user: User, excerpt: Excerpt):
    """The same, for the page that asks; 403 where there is nobody."""
    students = own_students_playing(user, excerpt)
    if not students:
        raise PermissionDenied
    return students


def may_ask_about(excerpt: Excerpt, user: User) -> bool:
    """Whoever has a student of their own playing it, that student included."""
    return own_students_playing(user, excerpt).exists()


def question_or_404(user: User, pk: int) -> Question:
    visible = Question.objects.visible_to(user).select_related("student__teacher", "excerpt", "answered_by")
    return get_object_or_404(visible, pk=pk)


def may_remove_question(user: User, question: Question) -> bool:
    """Whoever asked may take an open question back; directors may remove any."""
    return user.is_director or (question.is_open and question.asked_by_id == user.pk)


def question_to_remove(user: User, pk: int) -> Question:
    """404 for strangers, 403 for others who see it."""
    question = question_or_404(user, pk)
    if not may_remove_question(user, question):
        raise PermissionDenied
    return question


def clinic_or_404(user: User, pk: int) -> Clinic:
    return get_object_or_404(Clinic.objects.visible_to(user).select_related("excerpt", "leader"), pk=pk)


def may_lead(user: User, clinic: Clinic) -> bool:
    """The clinic's leader and any director may change it and hand it out."""
    return user.is_director or (user.is_teacher and clinic.leader_id == user.pk)


def require_leader(user: User, clinic: Clinic) -> None:
    if not may_lead(user, clinic):
        raise PermissionDenied


def own_children(user: User):
    """The students this person is a guardian of."""
    return Student.objects.filter(guardianships__guardian=user)


def child_or_403(user: User, pk: int) -> Student:
    """The student for a guardian; 404 for strangers, 403 for the student and for staff."""
    student = student_or_404(user, pk)
    own = student.user_id == user.pk
    if own or not student.guardianships.filter(guardian=user).exists():
        raise PermissionDenied(_("Only a guardian can give or withdraw this agreement."))
    return student


def is_guardian_of(user: User, student: Student) -> bool:
    return student.guardianships.filter(guardian=user).exists()


def own_student_or_403(user: User, pk: int) -> Student:
    """The student for itself, a guardian or a director; 404 for strangers, 403 for the teacher."""
    student = student_or_404(user, pk)
    if not (user.is_director or student.user_id == user.pk or is_guardian_of(user, student)):
        raise PermissionDenied(_("This is for the student, the guardians and the director."))
    return student


def may_ask_for_deletion(user: User, student: Student) -> bool:
    """A guardian for a minor; who is of age for themselves."""
    return is_guardian_of(user, student) if student.is_minor else student.user_id == user.pk


def student_to_ask_deletion_of(user: User, pk: int) -> Student:
    student = student_or_404(user, pk)
    if not may_ask_for_deletion(user, student):
        raise PermissionDenied(_("A guardian asks for this, or a student who is of age."))
    return student
