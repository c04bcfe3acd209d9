from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from recordings.panels.access import panel_to_lead
from recordings.panels.guests import HasMarked, remove_listener
from studio.request import SignedInRequest


@require_POST
@login_required
def panel_listener_remove(request: SignedInRequest, pk: int, listener_id: int) -> HttpResponse:
    """Take a listener out again; a guest's invitation or account ends with it."""
    panel = panel_to_lead(request.user, pk)
    if not panel.is_open:
        raise Http404
    listeners = panel.listeners.select_related("user", "invitation", "panel")
    listener = get_object_or_404(listeners, pk=listener_id)
    said = {"name": listener.name}
    try:
        remove_listener(listener)
    except HasMarked:
        messages.error(request, _("%(name)s has marked already, so what is written stays.") % said)
    else:
        messages.success(request, _("%(name)s no longer listens.") % said)
    return redirect("panel_detail", panel.pk)
