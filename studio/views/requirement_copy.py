from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from studio.access import role_required
from studio.forms.requirement_copy import CopyForm
from studio.models import Audition, Role
from studio.services.requirement_copy import copy, preview


@role_required(Role.DIRECTOR)
def requirement_copy(request: HttpRequest, pk: int) -> HttpResponse:
    """What would come of it stands on the page before anything is stored."""
    audition = get_object_or_404(Audition.objects.select_related("season"), pk=pk)
    posted = request.method == "POST"
    form = CopyForm(request.POST if posted else request.GET, target=audition)
    if posted and form.is_valid():
        _tell(request, copy(form.wanted()))
        return redirect("audition_detail", audition.pk)
    lines = preview(form.wanted()) if form.is_bound and form.is_valid() else None
    context = {"form": form, "audition": audition, "lines": lines}
    context["count"] = sum(1 for line in lines or () if line.made)
    return render(request, "studio/requirement_copy.html", context)


def _tell(request: HttpRequest, made: int) -> None:
    words = ngettext("%(count)d requirement is copied.", "%(count)d requirements are copied.", made)
    none = _("Nothing was copied: all of it is there already.")
    messages.success(request, words % {"count": made} if made else none)
