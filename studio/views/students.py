from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repertoire.paging import page_of
from studio.access import role_required
from studio.asked_again import asked_again
from studio.forms.people import StudentForm
from studio.models import Role, Student
from studio.request import SignedInRequest
from studio.services.invitations import invite, withdraw_to_former_addresses
from studio.services.mail import where_mail_lies


@role_required(Role.DIRECTOR)
def student_list(request: HttpRequest) -> HttpResponse:
    students = Student.objects.select_related("teacher").with_account_facts()
    return render(request, "studio/student_list.html", {"page": page_of(request, students)})


@role_required(Role.DIRECTOR)
def student_add(request: HttpRequest) -> HttpResponse:
    return _student_form(request, Student(), _("New student"))


@role_required(Role.DIRECTOR)
def student_edit(request: HttpRequest, pk: int) -> HttpResponse:
    known = Student.objects.select_related("user").prefetch_related("guardianships__guardian")
    student = get_object_or_404(known.with_account_facts(), pk=pk)
    return _student_form(request, student, student.name)


def _student_form(request: HttpRequest, student: Student, heading: str) -> HttpResponse:
    form = StudentForm(request.POST or None, instance=student)
    if request.method == "POST" and form.is_valid():
        withdraw_to_former_addresses(form.save())
        messages.success(request, _("The student is saved."))
        return redirect("student_edit", student.pk)
    return render(request, "studio/student_form.html", {"form": form, "heading": heading, "student": student})


@require_POST
@role_required(Role.DIRECTOR)
@asked_again
def student_invite(request: SignedInRequest, pk: int) -> HttpResponse:
    """Mail an invitation to the student (`who=student`) or to a guardian (`who=guardian`)."""
    student = get_object_or_404(Student, pk=pk)
    role = Role.GUARDIAN if request.POST.get("who") == Role.GUARDIAN else Role.STUDENT
    email = student.guardian_email if role == Role.GUARDIAN else student.email
    if not email:
        messages.error(request, _("There is no mail address to write to yet; add it first."))
    elif role == Role.STUDENT and student.user_id:
        messages.error(request, _("This student already has an account."))
    else:
        name = student.name if role == Role.STUDENT else _("guardian of %s") % student.name
        invite(email=email, name=name, role=role, invited_by=request.user, student=student)
        sent = _("The invitation is on its way to %s.") % email
        messages.success(request, f"{sent} {where_mail_lies()}")
    return redirect("student_edit", student.pk)
