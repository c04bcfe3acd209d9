from django.db.models import Count
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from recordings.models import Panel
from repertoire.paging import page_of
from studio.access import role_required
from studio.models import Role
from studio.request import SignedInRequest


@require_safe
@role_required(Role.DIRECTOR, Role.TEACHER, Role.GUEST)
def panel_list(request: SignedInRequest) -> HttpResponse:
    """Every panel for a director, for others those they listen in."""
    panels = Panel.objects.visible_to(request.user).select_related("audition")
    counted = panels.annotate(take_count=Count("takes", distinct=True)).order_by("-made_at", "-pk")
    mine = set(request.user.panel_seats.values_list("panel", flat=True))
    context = {"page": page_of(request, counted), "mine": mine}
    return render(request, "recordings/panel_list.html", context)
