from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from recordings.leaving.erase import counts_of, erase
from recordings.models import Erasure
from repertoire.paging import page_of
from studio.access import role_required
from studio.asked_again import asked_again
from studio.forms.leaving import AskDeletionForm, EraseForm
from studio.models import DeletionRequest, Role, Student
from studio.request import SignedInRequest


@role_required(Role.DIRECTOR)
@asked_again
def student_erase(request: SignedInRequest, student_id: int) -> HttpResponse:
    """Looked at twice: first what goes and what remains, then the student's name typed."""
    student = get_object_or_404(Student.objects.select_related("user"), pk=student_id)
    sure = AskDeletionForm(request.POST if request.method == "POST" else None)
    is_second = request.method == "POST" and sure.is_valid()
    named = EraseForm(request.POST if "name" in request.POST else None, student=student)
    if is_second and named.is_bound and named.is_valid():
        receipt = erase(student, by=request.user)
        return redirect("erasure_detail", receipt.pk)
    context = {
        "student": student,
        "counts": counts_of(student),
        "wish": DeletionRequest.objects.open().filter(student=student).first(),
        "form": named if is_second else sure,
        "is_second": is_second,
    }
    return render(request, "recordings/student_erase.html", context)


@require_safe
@role_required(Role.DIRECTOR)
def erasure_list(request: SignedInRequest) -> HttpResponse:
    return render(request, "recordings/erasure_list.html", {"page": page_of(request, Erasure.objects.all())})


@require_safe
@role_required(Role.DIRECTOR)
def erasure_detail(request: SignedInRequest, pk: int) -> HttpResponse:
    """The receipt: what was deleted, and what remains in backups until when."""
    receipt = get_object_or_404(Erasure, pk=pk)
    return render(request, "recordings/erasure_detail.html", {"receipt": receipt})
