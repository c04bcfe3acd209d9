from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from repertoire.access import may_edit, staff_only
from repertoire.models import Rubric
from repertoire.paging import page_of


@require_safe
@staff_only
def rubric_list(request: HttpRequest) -> HttpResponse:
    rubrics = Rubric.objects.current().prefetch_related("captions")
    page = page_of(request, rubrics)
    return render(request, "repertoire/rubric_list.html", {"page": page, "may_edit": may_edit(request.user)})
