from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, JsonResponse
from django.views.decorators.http import require_safe

from repertoire.access import excerpt_or_404
from repertoire.notation.score import BadScore
from repertoire.offline import kept_offline
from repertoire.show.play_along import bpm_from_query, form_from_query, times_document
from repertoire.wording.words import words


@require_safe
@login_required
@kept_offline
def excerpt_times(request: HttpRequest, pk: int) -> JsonResponse:
    """Note times at ?bpm=, of bars ?from= to ?to=; ?repeats=0 or ?form= say the order of play."""
    excerpt = excerpt_or_404(request.user, pk)
    try:
        form = form_from_query(excerpt, request.GET)
    except BadScore as error:
        return JsonResponse({"error": words(error.sentence)}, status=400)
    bpm = bpm_from_query(request.GET.get("bpm", ""), float(excerpt.marked_bpm))
    return JsonResponse(times_document(excerpt, form, bpm=bpm))
