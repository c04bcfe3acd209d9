from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from studio.access import role_required, student_to_ask_deletion_of
from studio.forms.leaving import AskDeletionForm, DeclineForm
from studio.models import Role, Student
from studio.models.deletion_request import ANSWERED_WITHIN
from studio.request import SignedInRequest
from studio.services.deletion import ask_for_deletion, decline, take_back


@login_required
def deletion_ask(request: SignedInRequest, pk: int) -> HttpResponse:
    """Says what would go and what stays until when, and takes the wish."""
    student = student_to_ask_deletion_of(request.user, pk)
    form = AskDeletionForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        ask_for_deletion(student, request.user)
        messages.success(request, _("Your wish is with the studio's director."))
        return redirect("student_data", student.pk)
    context = {"form": form, "student": student, "days": ANSWERED_WITHIN.days}
    return render(request, "studio/deletion_ask.html", context)


@require_POST
@login_required
def deletion_take_back(request: SignedInRequest, pk: int) -> HttpResponse:
    student = student_to_ask_deletion_of(request.user, pk)
    if take_back(student):
        messages.success(request, _("It is taken back; everything stays as it is."))
    return redirect("student_data", student.pk)


@role_required(Role.DIRECTOR)
def deletion_decline(request: HttpRequest, pk: int) -> HttpResponse:
    student = get_object_or_404(Student, pk=pk)
    form = DeclineForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        if decline(student, form.cleaned_data["reason"]):
            messages.success(request, _("The family reads your answer on the student's page."))
        else:
            messages.error(request, _("There is no wish to answer any more: it was taken back or answered."))
        return redirect("student_data", student.pk)
    context = {
        "form": form,
        "heading": _("Not to be deleted: %s") % student.name,
        "submit": _("Answer the family"),
        "further": [(reverse("student_data", args=[student.pk]), _("Leave it open"))],
    }
    return render(request, "studio/form_page.html", context)
