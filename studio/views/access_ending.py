from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from studio.access import role_required
from studio.asked_again import asked_again
from studio.models import Guardianship, Role, RoleGrant, User
from studio.services.access_ending import (
    LastDirector,
    close_account,
    end_guardianship,
    end_role,
    open_account,
)
from studio.services.second_factor import forget_second_factor


@require_POST
@role_required(Role.DIRECTOR)
@asked_again
def role_end(request: HttpRequest, pk: int) -> HttpResponse:
    staff = RoleGrant.objects.filter(role__in=[Role.DIRECTOR, Role.TEACHER]).select_related("user")
    grant = get_object_or_404(staff, pk=pk)
    try:
        end_role(grant)
    except LastDirector:
        return _last_director(request)
    messages.success(
        request,
        _("%(name)s no longer has the role “%(role)s”.")
        % {"name": grant.user.name, "role": grant.get_role_display()},
    )
    if grant.role == Role.TEACHER:
        _say_who_needs_a_teacher(request, grant.user)
    return redirect("people" if grant.user != request.user or grant.role == Role.TEACHER else "home")


@require_POST
@role_required(Role.DIRECTOR)
@asked_again
def account_close(request: HttpRequest, pk: int) -> HttpResponse:
    user = get_object_or_404(User, pk=pk, is_active=True)
    try:
        close_account(user)
    except LastDirector:
        return _last_director(request)
    messages.success(request, _("The account of %s is closed and signed out everywhere.") % user.name)
    _say_who_needs_a_teacher(request, user)
    return _back(user)


@require_POST
@role_required(Role.DIRECTOR)
@asked_again
def account_open(request: HttpRequest, pk: int) -> HttpResponse:
    user = get_object_or_404(User, pk=pk, is_active=False)
    open_account(user)
    messages.success(request, _("%s can sign in again.") % user.name)
    return _back(user)


@require_POST
@role_required(Role.DIRECTOR)
@asked_again
def second_factor_end(request: HttpRequest, pk: int) -> HttpResponse:
    """For somebody whose phone is lost, with the recovery codes."""
    user = get_object_or_404(User, pk=pk)
    if forget_second_factor(user):
        messages.success(request, _("The second factor of %s is off; they set up another one.") % user.name)
    return _back(user)


@require_POST
@role_required(Role.DIRECTOR)
@asked_again
def guardianship_end(request: HttpRequest, pk: int) -> HttpResponse:
    tie = get_object_or_404(Guardianship.objects.select_related("guardian", "student"), pk=pk)
    end_guardianship(tie)
    ended = _("%(guardian)s no longer sees the page of %(student)s.")
    messages.success(request, ended % {"guardian": tie.guardian.name, "student": tie.student.name})
    if not tie.student.may_record:
        messages.info(request, _("Before the next take, another guardian has to agree to recording."))
    return redirect("student_edit", tie.student_id)


def _back(user: User) -> HttpResponse:
    """To where the account is listed: staff on the people page, a student on the student's page."""
    student = None if user.is_staff else user.students.first()
    return redirect("student_edit", student.pk) if student else redirect("people")


def _last_director(request: HttpRequest) -> HttpResponse:
    messages.error(
        request, _("This is the studio's last director. Make somebody else a director first, then try again.")
    )
    return redirect("people")


def _say_who_needs_a_teacher(request: HttpRequest, user: User) -> None:
    if count := user.taught_students.count():
        sentence = ngettext(
            "%d student still has this teacher: choose another one on the student's page.",
            "%d students still have this teacher: choose another one on each student's page.",
            count,
        )
        messages.info(request, sentence % count)
