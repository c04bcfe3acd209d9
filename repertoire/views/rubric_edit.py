from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods

from repertoire.access import require_editor, rubric_or_404
from repertoire.forms.rubric_page import edit_rubric


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def rubric_edit(request: HttpRequest, pk: int) -> HttpResponse:
    rubric = rubric_or_404(request.user, pk)
    require_editor(request.user)
    return edit_rubric(request, rubric)
