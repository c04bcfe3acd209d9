from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from recordings.access import cell_or_404
from repertoire.notation.score import BadScore
from repertoire.paper.response import as_pdf, how_printed
from repertoire.wording.words import words
from studio.services.requirement_print import requirement_pdf


@require_safe
@login_required
def requirement_print(request: HttpRequest, entry_id: int, requirement_id: int) -> HttpResponse:
    """What is asked as a PDF, ?paper=a4 or letter; ?numbers=every numbers every bar."""
    _entry, requirement = cell_or_404(request.user, entry_id, requirement_id)
    try:
        pdf = requirement_pdf(requirement, **how_printed(request.GET))
    except BadScore as error:
        raise Http404(words(error.sentence)) from error
    return as_pdf(pdf, title=requirement.excerpt.title)
