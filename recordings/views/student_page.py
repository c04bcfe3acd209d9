from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from recordings.readiness.page import music_of
from studio.access import student_or_404


@require_safe
@login_required
def student_page(request: HttpRequest, student_id: int) -> HttpResponse:
    """One student's music, for the guardian, the teacher and the director."""
    student = student_or_404(request.user, student_id)
    own = student.user_id == request.user.pk
    return render(request, "recordings/my_music.html", {"pages": music_of([student]), "own": own})
