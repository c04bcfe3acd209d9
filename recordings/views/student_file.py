from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from recordings.reviews.student_file import filled, moments_of, settling_of
from repertoire.paging import page_of
from studio.access import may_teach, student_or_404
from studio.request import SignedInRequest


@require_safe
@login_required
def student_file(request: SignedInRequest, student_id: int) -> HttpResponse:
    """Takes, answers and questions of one student on a line of time, for who teaches them."""
    student = student_or_404(request.user, student_id)
    if not may_teach(request.user, student):
        raise PermissionDenied
    page = page_of(request, moments_of(student))
    context = {
        "student": student,
        "page": page,
        "rows": filled(list(page)),
        "settlings": settling_of(student),
    }
    return render(request, "recordings/student_file.html", context)
