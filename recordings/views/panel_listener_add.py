from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from recordings.panels.access import panel_to_lead
from recordings.panels.forms import ListenerForm
from recordings.panels.guests import add_listener
from studio.request import SignedInRequest
from studio.services.mail import where_mail_lies


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def panel_listener_add(request: SignedInRequest, pk: int) -> HttpResponse:
    """One more listener, of the studio or from outside."""
    panel = panel_to_lead(request.user, pk)
    if not panel.is_open:
        raise Http404
    form = ListenerForm(request.POST if request.method == "POST" else None, panel=panel)
    if form.is_bound and form.is_valid():
        listener = add_listener(panel, **form.cleaned_data, by=request.user)
        if listener.user_id:
            messages.success(request, _("%(name)s listens from now on.") % {"name": listener.name})
        else:
            sent = _("The invitation is on its way. The account is for this panel alone and ends with it.")
            messages.success(request, f"{sent} {where_mail_lies()}")
        return redirect("panel_detail", panel.pk)
    heading = _("Add a listener or invite a guest")
    context = {"form": form, "heading": heading, "within": panel.name, "submit": _("Add")}
    return render(request, "studio/form_page.html", context)
