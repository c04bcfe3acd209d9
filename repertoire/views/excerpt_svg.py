import hashlib

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.utils.cache import get_conditional_response, patch_cache_control
from django.views.decorators.http import require_safe

from repertoire.access import excerpt_or_404
from repertoire.library.correction import earlier_version
from repertoire.notation.order.order_line import ends_of, parse_order, unasked
from repertoire.notation.score import BadScore
from repertoire.offline import kept_offline
from repertoire.show.engraved import DESK_PX, drawing_key, engraved_svg
from repertoire.wording.words import words

FRESH_S = 300


@require_safe
@login_required
@kept_offline
def excerpt_svg(request: HttpRequest, pk: int) -> HttpResponse:
    """The drawing ?width= pixels wide, of bars ?from= to ?to= when given; ?plain= leaves no ribbon room.

    ?form= is an order of play as a line: its bars are drawn, with what lies between and is not asked pale.
    ?music= names by its hash the music before a correction.
    """
    excerpt = excerpt_or_404(request.user, pk)
    if "music" in request.GET:
        earlier = earlier_version(excerpt, request.GET["music"][:64])
        if earlier is None:
            raise Http404
        excerpt = earlier
    width = request.GET.get("width", "")
    width_px = int(width) if width.isdecimal() and len(width) < 6 else DESK_PX
    first, last = request.GET.get("from", "")[:10], request.GET.get("to", "")[:10]
    bars = (first, last) if first and last else None
    ribbon_room = "plain" not in request.GET
    try:
        line = parse_order(excerpt.score, request.GET["form"][:2000]) if request.GET.get("form") else ()
    except BadScore as error:
        raise Http404(words(error.sentence)) from error
    pale = unasked(excerpt.score, line) if line else frozenset()
    if line:
        bars = ends_of(excerpt.score, line)
    seal = hashlib.sha256(" ".join(sorted(pale)).encode()).hexdigest()[:12]
    etag = f'"{drawing_key(excerpt, width_px, bars=bars, ribbon_room=ribbon_room)}:{seal}"'
    response = get_conditional_response(request, etag=etag)
    if response is None:
        try:
            svg = engraved_svg(excerpt, width_px, bars=bars, ribbon_room=ribbon_room, unasked=pale)
        except BadScore as error:
            raise Http404(words(error.sentence)) from error
        response = HttpResponse(svg, content_type="image/svg+xml", headers={"ETag": etag})
    patch_cache_control(response, private=True, max_age=FRESH_S)
    return response
