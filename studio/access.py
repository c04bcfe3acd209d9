"""Who may see and change what: strangers get 404, the known but not allowed 403."""

from collections.abc import Callable
from functools import wraps

from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.db.models import Exists, OuterRef, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _

from repertoire.models import Excerpt
from studio.models import Entry, Requirement, Student


def role_required(*roles: str) -> Callable:
    """Let in signed-in people who hold one of `roles`; everyone else signed in gets 403."""

    def decorate(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
        @login_required
        @wraps(view)
        def guarded(request: HttpRequest, *args, **kwargs) -> HttpResponse:
            if not request.user.role_names.intersection(roles):
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
    """The student's own teacher and any director may change what is said about the student's playing."""
    return user.is_director or (user.is_teacher and student.teacher_id == user.pk)


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
