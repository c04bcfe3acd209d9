from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from repertoire.access import may_edit, staff_only
from repertoire.models import Rubric

A_PAGE = 30


@require_safe
@staff_only
def rubric_list(request: HttpRequest) -> HttpResponse:
    rubrics = Rubric.objects.current().prefetch_related("captions")
    page = Paginator(rubrics, A_PAGE).get_page(request.GET.get("page"))
    return render(request, "repertoire/rubric_list.html", {"page": page, "may_edit": may_edit(request.user)})
