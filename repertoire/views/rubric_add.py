from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods

from repertoire.access import editors_only
from repertoire.models import Rubric
from repertoire.views.rubric_edit import edit_rubric


@require_http_methods(["GET", "HEAD", "POST"])
@editors_only
def rubric_add(request: HttpRequest) -> HttpResponse:
    return edit_rubric(request, Rubric())
