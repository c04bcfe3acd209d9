from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from repertoire.access import require_editor, rubric_or_404
from repertoire.forms.rubric import CaptionFormSet, RubricForm
from repertoire.models import Rubric


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def rubric_edit(request: HttpRequest, pk: int) -> HttpResponse:
    rubric = rubric_or_404(request.user, pk)
    require_editor(request.user)
    return edit_rubric(request, rubric)


def edit_rubric(request: HttpRequest, rubric: Rubric) -> HttpResponse:
    """The page for a new marking form and for one that is there already."""
    posted = request.POST if request.method == "POST" else None
    form = RubricForm(posted, instance=rubric)
    rows = CaptionFormSet(posted, instance=rubric, prefix="captions")
    if posted is not None and form.is_valid() & rows.is_valid():
        with transaction.atomic():
            rows.instance = form.save()
            rows.save_in_order()
        messages.success(request, _("“%(name)s” is saved.") % {"name": rubric.name})
        return redirect("rubric_detail", rubric.pk)
    return render(request, "repertoire/rubric_edit.html", {"form": form, "rows": rows, "rubric": rubric})
