from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from repertoire.access import may_edit, visible_excerpts
from repertoire.forms.filters import ExcerptFilterForm
from repertoire.paging import page_of


@require_safe
@login_required
def excerpt_list(request: HttpRequest) -> HttpResponse:
    form = ExcerptFilterForm(request.GET)
    excerpts = visible_excerpts(request.user).for_lists().filtered(**form.chosen())
    page = page_of(request, excerpts)
    context = {"form": form, "page": page, "may_edit": may_edit(request.user)}
    return render(request, "repertoire/excerpt_list.html", context)
