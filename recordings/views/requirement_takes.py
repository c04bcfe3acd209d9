from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from recordings.access import cell_or_404
from recordings.readiness.page import cell_context
from repertoire.offline import kept_offline
from studio.request import SignedInRequest


@require_safe
@login_required
@kept_offline
def requirement_takes(request: SignedInRequest, entry_id: int, requirement_id: int) -> HttpResponse:
    """Everything about one requirement of one entry: the music, what is asked, the takes so far."""
    entry, requirement = cell_or_404(request.user, entry_id, requirement_id)
    context = cell_context(request.user, entry, requirement)
    return render(request, "recordings/requirement_takes.html", context)
