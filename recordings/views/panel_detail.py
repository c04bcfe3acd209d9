from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from recordings.panels.access import panel_or_404
from recordings.panels.progress import progress_of
from recordings.panels.results_page import results_page
from studio.request import SignedInRequest


@require_safe
@login_required
def panel_detail(request: SignedInRequest, pk: int) -> HttpResponse:
    """For directors: who listens and how far they are, later the results. Others go on to what they hear."""
    panel = panel_or_404(request.user, pk)
    if not request.user.is_director:
        return redirect("panel_listen", panel.pk)
    if not panel.is_open:
        return render(request, "recordings/panel_results.html", results_page(panel))
    return render(request, "recordings/panel_detail.html", progress_of(panel, request.user))
