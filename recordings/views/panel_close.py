from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from recordings.panels.access import panel_to_lead
from recordings.panels.closing import close_panel
from studio.request import SignedInRequest


@require_POST
@login_required
def panel_close(request: SignedInRequest, pk: int) -> HttpResponse:
    """For good: nothing more is marked, guests' accounts end, and the director sees whose takes they were."""
    if close_panel(panel_to_lead(request.user, pk)):
        messages.success(request, _("The panel is closed."))
    return redirect("panel_detail", pk)
