from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from recordings.access import cell_or_404
from recordings.models import Analysis
from recordings.takes.side_by_side import bars_side_by_side, chosen, comparable
from repertoire.show.engraved import engraved_svg, likely_width
from repertoire.show.stretches import stretch_with
from studio.request import SignedInRequest


@require_safe
@login_required
def takes_compare(request: SignedInRequest, entry_id: int, requirement_id: int) -> HttpResponse:
    """Two takes side by side, ?one= and ?other=: without them the first and the latest."""
    entry, requirement = cell_or_404(request.user, entry_id, requirement_id)
    takes = comparable(entry, requirement)
    if len(takes) < 2:
        raise Http404
    one, other = chosen(takes, request.GET.get("one", ""), request.GET.get("other", ""))
    results = dict(Analysis.objects.filter(take__in=(one, other)).values_list("take_id", "result"))
    bars = [(results[take.pk] or {}).get("bars", []) for take in (one, other)]
    width_px, excerpt = likely_width(request.headers), requirement.excerpt
    shown = requirement.bars or stretch_with(excerpt, requirement.order)
    context = {
        "entry": entry,
        "requirement": requirement,
        "takes": takes,
        "one": one,
        "other": other,
        "pairs": bars_side_by_side(*bars),
        "svg": engraved_svg(excerpt, width_px, bars=shown, ribbon_room=False),
        "shown": shown,
        "width_px": width_px,
    }
    return render(request, "recordings/takes_compare.html", context)
