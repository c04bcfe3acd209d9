from django.contrib.auth.decorators import login_required
from django.http import FileResponse, Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from recordings.leaving.copy_queue import ask_for
from recordings.leaving.erase import counts_of
from recordings.models import OwnCopy
from recordings.models.own_copy import KEPT_FOR
from studio.access import may_ask_for_deletion, own_student_or_403
from studio.models import DeletionRequest, Event, Student
from studio.request import SignedInRequest
from studio.services.events import record


@require_safe
@login_required
def student_data(request: SignedInRequest, student_id: int) -> HttpResponse:
    """What is kept of one student: the copy to take away, the agreements, and the wish for deletion."""
    student = own_student_or_403(request.user, student_id)
    wishes = DeletionRequest.objects.filter(student=student)
    context = {
        **_copy_of(student),
        "counts": counts_of(student),
        "receipts": student.consents.order_by("-given_at", "-pk"),
        "wish": wishes.open().first(),
        "declined": wishes.exclude(declined_at=None).first(),
        "may_ask": may_ask_for_deletion(request.user, student),
    }
    return render(request, "recordings/student_data.html", context)


@require_POST
@login_required
def student_data_make(request: SignedInRequest, student_id: int) -> HttpResponse:
    student = own_student_or_403(request.user, student_id)
    ask_for(student, request.user)
    return redirect("student_data", student.pk)


@require_safe
@login_required
def student_data_progress(request: SignedInRequest, student_id: int) -> HttpResponse:
    """The part of the page that is asked for again until the file is made."""
    student = own_student_or_403(request.user, student_id)
    return render(request, "recordings/_own_copy.html", _copy_of(student))


@require_safe
@login_required
def student_data_file(request: SignedInRequest, student_id: int) -> HttpResponseBase:
    student = own_student_or_403(request.user, student_id)
    copy = get_object_or_404(OwnCopy, student=student, state=OwnCopy.State.DONE)
    try:
        file = copy.file.open("rb")
    except FileNotFoundError as missing:
        raise Http404 from missing
    record(Event.Kind.EXPORTED, student)
    response = FileResponse(file, content_type="application/zip")
    response["Content-Disposition"] = f'attachment; filename="student-{student.pk}.zip"'
    response["Cache-Control"] = "private, no-store"
    return response


def _copy_of(student: Student) -> dict:
    copy = OwnCopy.objects.filter(student=student).first()
    return {"student": student, "copy": copy, "kept_days": KEPT_FOR.days}
