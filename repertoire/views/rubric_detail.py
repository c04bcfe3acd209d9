from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from repertoire.access import may_edit, rubric_or_404


@require_safe
@login_required
def rubric_detail(request: HttpRequest, pk: int) -> HttpResponse:
    rubric = rubric_or_404(request.user, pk)
    context = {
        "rubric": rubric,
        "captions": rubric.captions.all(),
        "newer": rubric.newer,
        "may_edit": may_edit(request.user),
    }
    return render(request, "repertoire/rubric_detail.html", context)
