from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from recordings.panels.access import panel_to_lead
from recordings.panels.remarks import NothingToHandOn, hand_on
from studio.request import SignedInRequest


@require_POST
@login_required
def panel_remarks(request: SignedInRequest, pk: int, code: str) -> HttpResponse:
    """Listeners' remarks into the draft of the take's answer, which the teacher reads and releases."""
    panel = panel_to_lead(request.user, pk)
    if panel.is_open:
        raise Http404
    rows = panel.takes.select_related("take__entry__student", "take__requirement__rubric", "take__analysis")
    try:
        hand_on(get_object_or_404(rows, code=code))
    except NothingToHandOn as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, _("The remarks stand in the draft of the answer. Nothing is sent yet."))
    return redirect("panel_detail", panel.pk)
