from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from recordings.models import PanelSheet
from recordings.panels.access import listener_of, panel_or_404
from recordings.panels.sheet import state_of
from repertoire.paging import page_of
from studio.request import SignedInRequest


@require_safe
@login_required
def panel_listen(request: SignedInRequest, pk: int) -> HttpResponse:
    """One listener's takes in the listener's own order, under their codes, and how far the marking is."""
    panel = panel_or_404(request.user, pk)
    listener = listener_of(request.user, panel)
    sheets = list(PanelSheet.objects.hearable().filter(listener=listener).with_marks())
    caption_count = panel.rubric.captions.count()
    lines = [(sheet, state_of(sheet, caption_count)) for sheet in sheets]
    context = {
        "panel": panel,
        "page": page_of(request, lines),
        "count": len(lines),
        "done": sum(state == "done" for _sheet, state in lines),
        "next": next((sheet for sheet, state in lines if state != "done"), None),
    }
    return render(request, "recordings/panel_listen.html", context)
