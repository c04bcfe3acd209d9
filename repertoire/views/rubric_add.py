from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods

from repertoire.access import editors_only
from repertoire.forms.rubric_page import edit_rubric
from repertoire.models import Rubric


@require_http_methods(["GET", "HEAD", "POST"])
@editors_only
def rubric_add(request: HttpRequest) -> HttpResponse:
    return edit_rubric(request, Rubric())
