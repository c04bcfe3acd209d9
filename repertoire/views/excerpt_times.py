from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, JsonResponse
from django.views.decorators.http import require_safe

from repertoire.access import excerpt_or_404
from repertoire.notation.score import BadScore
from repertoire.play_along import bpm_asked, times_document


@require_safe
@login_required
def excerpt_times(request: HttpRequest, pk: int) -> JsonResponse:
    """Note times at ?bpm=, of bars ?from= to ?to= when given; ?repeats=0 leaves the repeats out."""
    excerpt = excerpt_or_404(request.user, pk)
    first, last = request.GET.get("from", "")[:10], request.GET.get("to", "")[:10]
    bars = (first or last, last or first) if first or last else None
    try:
        form = excerpt.form(with_repeats=request.GET.get("repeats") != "0", bars=bars)
    except BadScore as error:
        return JsonResponse({"error": str(error)}, status=400)
    bpm = bpm_asked(request.GET.get("bpm", ""), float(excerpt.marked_bpm))
    return JsonResponse(times_document(excerpt, form, bpm=bpm))
