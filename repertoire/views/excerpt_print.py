from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from repertoire.access import excerpt_or_404
from repertoire.notation.order.order_line import parse_order
from repertoire.notation.score import BadScore
from repertoire.paper.music import music_part, pdf_of, printed_notes
from repertoire.paper.response import as_pdf, how_printed
from repertoire.show.wording import tempo_changes
from repertoire.wording.words import words


@require_safe
@login_required
def excerpt_print(request: HttpRequest, pk: int) -> HttpResponse:
    """The music as a PDF, ?paper=a4 or letter; ?form= is an order of play as a line; ?numbers=every."""
    excerpt = excerpt_or_404(request.user, pk)
    how = how_printed(request.GET)
    line = request.GET.get("form", "")[:2000]
    try:
        order = parse_order(excerpt.score, line) if line else None
    except BadScore as error:
        raise Http404(words(error.sentence)) from error
    changes = " ".join(tempo_changes(excerpt.score, asked=set(order) if order else None))
    part = music_part(excerpt, order=order, notes=printed_notes(excerpt), more_lines=[changes], **how)
    return as_pdf(pdf_of([part], paper=how["paper"]), title=excerpt.title)
