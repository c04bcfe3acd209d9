from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from recordings.panels.access import panel_to_lead
from recordings.panels.seating import move_seats
from studio.request import SignedInRequest


@require_POST
@login_required
def panel_seats(request: SignedInRequest, pk: int) -> HttpResponse:
    """The seating order as the director types it; what is no number keeps its place."""
    panel = panel_to_lead(request.user, pk)
    if panel.is_open:
        raise Http404
    seats = panel.seats.values_list("pk", flat=True)
    typed = {pk: request.POST.get(f"seat-{pk}", "") for pk in seats}
    move_seats(panel, {pk: int(text) for pk, text in typed.items() if _is_number(text)})
    messages.success(request, _("The seating order is saved."))
    return redirect("panel_detail", panel.pk)


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) < 10
