from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from repertoire.access import may_edit, visible_excerpts
from repertoire.forms.filters import ExcerptFilterForm

A_PAGE = 30


@require_safe
@login_required
def excerpt_list(request: HttpRequest) -> HttpResponse:
    form = ExcerptFilterForm(request.GET)
    excerpts = visible_excerpts(request.user).for_lists().filtered(**form.chosen())
    page = Paginator(excerpts, A_PAGE).get_page(request.GET.get("page"))
    context = {"form": form, "page": page, "may_edit": may_edit(request.user)}
    return render(request, "repertoire/excerpt_list.html", context)
