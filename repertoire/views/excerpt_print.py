from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.utils.cache import patch_cache_control
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from repertoire.access import excerpt_or_404
from repertoire.notation.orders import parse_order
from repertoire.notation.score import BadScore
from repertoire.printed_notes import printed_notes
from repertoire.printing import PAPERS, music_part, pdf_of


@require_safe
@login_required
def excerpt_print(request: HttpRequest, pk: int) -> HttpResponse:
    """The music as a PDF, ?paper=a4 or letter; ?form= is an order of play as a line."""
    excerpt = excerpt_or_404(request.user, pk)
    paper = request.GET.get("paper", "a4")
    if paper not in PAPERS:
        raise Http404
    line = request.GET.get("form", "")[:2000]
    try:
        order = parse_order(excerpt.score, line) if line else None
    except BadScore as error:
        raise Http404(str(error)) from error
    pdf = pdf_of([music_part(excerpt, paper=paper, order=order, notes=printed_notes(excerpt))], paper=paper)
    name = slugify(excerpt.title) or f"music-{excerpt.pk}"
    headers = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    response = HttpResponse(pdf, content_type="application/pdf", headers=headers)
    patch_cache_control(response, private=True)
    return response
