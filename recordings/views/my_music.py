from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from recordings.readiness.home import music_of
from recordings.sending.to_sign import to_sign
from recordings.upload.resumable import on_their_way
from studio.models import Student
from studio.request import SignedInRequest


@require_safe
@login_required
def my_music(request: SignedInRequest) -> HttpResponse:
    """What the signed-in person has to play, on each of their instruments."""
    students = Student.objects.filter(user=request.user).select_related("teacher")
    context = {
        "pages": music_of(students, request.user),
        "own": True,
        "to_sign": to_sign(request.user, list(students), at=timezone.now()),
        **on_their_way(request.user),
    }
    return render(request, "recordings/my_music.html", context)
