from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from recordings.panels.access import panel_to_lead
from recordings.panels.closing import close_panel
from recordings.panels.progress import open_sheets
from studio.request import SignedInRequest


@require_POST
@login_required
def panel_close(request: SignedInRequest, pk: int) -> HttpResponse:
    """For good: nothing more is marked, guests' accounts end, and the director sees whose takes they were."""
    panel = panel_to_lead(request.user, pk)
    if "unmarked" not in request.POST and open_sheets(panel):
        messages.error(request, _("Some sheets are unmarked. Please tick that they may stay so, or wait."))
    elif close_panel(panel):
        messages.success(request, _("The panel is closed."))
    return redirect("panel_detail", pk)
