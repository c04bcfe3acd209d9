from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from recordings.readiness.home import music_of
from recordings.sending.to_sign import to_sign
from recordings.upload.resumable import on_their_way
from studio.access import may_teach, student_or_404
from studio.request import SignedInRequest


@require_safe
@login_required
def student_page(request: SignedInRequest, student_id: int) -> HttpResponse:
    """One student's music, for the guardian, the teacher and the director."""
    student = student_or_404(request.user, student_id)
    context = {
        "pages": music_of([student], request.user),
        "own": student.user_id == request.user.pk,
        "to_sign": to_sign(request.user, [student], at=timezone.now()),
        **on_their_way(request.user),
        "may_teach": may_teach(request.user, student),
    }
    return render(request, "recordings/my_music.html", context)
