"""The page on which a marking form is made or changed; both addresses show it."""

from typing import cast

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from repertoire.forms.rubric import CaptionFormSet, CaptionRows, RubricForm, keep_rubric
from repertoire.models import Rubric


def edit_rubric(request: HttpRequest, rubric: Rubric) -> HttpResponse:
    """The page for a new marking form and for one that is there already."""
    posted = request.POST if request.method == "POST" else None
    form = RubricForm(posted, instance=rubric)
    rows = cast(CaptionRows, CaptionFormSet(posted, instance=rubric, prefix="captions"))
    newer = rubric.newer if rubric.pk else None
    if newer is not None and posted is not None:
        form.add_error(None, _("There is a newer version of this form; please change that one."))
    if posted is not None and form.is_valid() & rows.is_valid():
        kept = keep_rubric(form, rows)
        sentence = (
            _("“%(name)s” is saved.")
            if kept.pk == rubric.pk
            else _("“%(name)s” has a new version for the marks to come; marks already given keep theirs.")
        )
        messages.success(request, sentence % {"name": kept.name})
        return redirect("rubric_detail", kept.pk)
    context = {"form": form, "rows": rows, "rubric": rubric, "newer": newer}
    return render(request, "repertoire/rubric_edit.html", context)
