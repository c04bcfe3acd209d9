from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.views.decorators.http import require_safe

from recordings.panels.access import panel_to_lead
from recordings.panels.results_page import results_csv
from studio.download import csv_answer
from studio.models import Event
from studio.request import SignedInRequest
from studio.services.events import record


@require_safe
@login_required
def panel_export(request: SignedInRequest, pk: int) -> HttpResponse:
    """The results as a table, once the panel is closed."""
    panel = panel_to_lead(request.user, pk)
    if panel.is_open:
        raise Http404
    record(Event.Kind.EXPORTED, panel)
    return csv_answer(results_csv(panel), f"panel-{panel.pk}")
