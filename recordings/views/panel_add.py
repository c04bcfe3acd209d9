from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from recordings.panels.draw import left_out, takes_for
from recordings.panels.forms import PanelForm
from studio.access import role_required
from studio.models import Audition, Role
from studio.request import SignedInRequest


@require_http_methods(["GET", "HEAD", "POST"])
@role_required(Role.DIRECTOR)
def panel_add(request: SignedInRequest, pk: int) -> HttpResponse:
    """Set a panel up; from then on nobody is told which take is whose, and who is left out stands here."""
    audition = get_object_or_404(Audition.objects.select_related("season"), pk=pk)
    form = PanelForm(
        request.POST if request.method == "POST" else None, audition=audition, initial={"name": audition.name}
    )
    if form.is_bound and form.is_valid():
        panel = form.draw(by=request.user)
        messages.success(request, _("The panel is open. Its sounds are being made ready."))
        if not panel.listeners.exists():
            messages.warning(request, _("Nobody listens in it yet: add a listener or invite a guest."))
        return redirect("panel_detail", panel.pk)
    takes = takes_for(audition)
    context = {
        "audition": audition,
        "form": form,
        "take_count": takes.count(),
        "of_age": takes.filter(entry__student__is_minor=False).values("entry__student").distinct().count(),
        "left_out": left_out(audition),
    }
    return render(request, "recordings/panel_add.html", context)
