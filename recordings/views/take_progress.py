from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from recordings.access import take_or_404
from recordings.jobs.progress import progress_of
from studio.request import SignedInRequest

NOTHING_NEW = 204


@require_safe
@login_required
def take_progress(request: SignedInRequest, take_id: int) -> HttpResponse:
    """The part of the take's page that is asked for again until the measuring has ended.

    Where nothing has changed since the last answer, nothing is sent: the page and the screen reader stay
    quiet.
    """
    progress = progress_of(take_or_404(request.user, take_id), request.user)
    if not progress["ended"] and request.GET.get("seen") == progress["seen"]:
        return HttpResponse(status=NOTHING_NEW)
    return render(request, "recordings/_progress.html", progress)
