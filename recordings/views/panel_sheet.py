from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from recordings.models import Panel, PanelSheet
from recordings.panels.access import sheet_or_404
from recordings.panels.sheet import PanelClosed, SheetForm
from recordings.panels.sheet_page import next_open, page_context
from studio.request import SignedInRequest


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def panel_sheet(request: SignedInRequest, pk: int, code: str) -> HttpResponse:
    """One take under its code: hear it, mark it on the form, go on to the next."""
    panel, sheet = sheet_or_404(request.user, pk, code)
    if not panel.is_open:
        return redirect("panel_listen", panel.pk)
    posted = request.POST if request.method == "POST" else None
    form = SheetForm(sheet, list(panel.rubric.captions.all()), posted)
    if posted is not None:
        return _save(request, panel, sheet, form)
    return render(request, "recordings/panel_sheet.html", page_context(request, panel, sheet, form))


def _save(request: SignedInRequest, panel: Panel, sheet: PanelSheet, form: SheetForm) -> HttpResponse:
    by_script = request.headers.get("Accept", "").startswith("application/json")
    try:
        form.save(panel)
    except PanelClosed:
        if by_script:
            return JsonResponse({"closed": _("The panel has been closed; this was not saved.")}, status=409)
        messages.error(request, _("The panel has been closed; this was not saved."))
        return redirect("panel_listen", panel.pk)
    if by_script:
        at = date_format(timezone.localtime(sheet.saved_at), "H:i:s")
        return JsonResponse({"saved_at": at, "errors": form.errors})
    if form.errors:
        context = page_context(request, panel, sheet, form)
        return render(request, "recordings/panel_sheet.html", context, status=422)
    following = next_open(panel, sheet)
    if following is None or "list" in request.POST:
        return redirect("panel_listen", panel.pk)
    return redirect("panel_sheet", panel.pk, following.panel_take.code)
