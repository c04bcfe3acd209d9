from django.contrib import messages
from django.db.models import ProtectedError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repertoire.show.engraved import likely_width
from studio.access import role_required
from studio.forms.requirement import InstrumentForm, RequirementForm
from studio.models import Audition, Requirement, Role
from studio.services.form_preview import preview_of


@role_required(Role.DIRECTOR)
def requirement_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Two steps without a script: the instrument (`?instrument=`), then its music."""
    audition = get_object_or_404(Audition, pk=pk)
    choice = InstrumentForm(request.GET or None)
    if not choice.is_valid():
        context = {"form": choice, "audition": audition}
        return render(request, "studio/requirement_instrument.html", context)
    requirement = Requirement(audition=audition, instrument=choice.cleaned_data["instrument"])
    return _requirement_form(request, requirement, _("New requirement"))


@role_required(Role.DIRECTOR)
def requirement_edit(request: HttpRequest, pk: int) -> HttpResponse:
    requirement = get_object_or_404(Requirement.objects.select_related("audition"), pk=pk)
    return _requirement_form(request, requirement, _("Change the requirement"))


def _requirement_form(request: HttpRequest, requirement: Requirement, heading: str) -> HttpResponse:
    form = RequirementForm(request.POST or None, instance=requirement)
    shown = "show" in request.POST
    if request.method == "POST" and form.is_valid() and not shown:
        form.save()
        messages.success(request, _("The requirement is saved."))
        return redirect("audition_detail", requirement.audition_id)
    context = {"form": form, "heading": heading, "requirement": requirement}
    context["preview"] = preview_of(form, _width(request))
    return render(request, "studio/requirement_form.html", context)


@require_POST
@role_required(Role.DIRECTOR)
def requirement_remove(request: HttpRequest, pk: int) -> HttpResponse:
    requirement = get_object_or_404(Requirement, pk=pk)
    if requirement.uploads.unfinished().exists():
        messages.error(request, _("A recording is on its way for this requirement, so it stays."))
        return redirect("audition_detail", requirement.audition_id)
    try:
        requirement.delete()
        messages.success(request, _("The requirement is removed."))
    except ProtectedError:
        messages.error(request, _("Takes have been handed in for this requirement, so it stays."))
    return redirect("audition_detail", requirement.audition_id)


def _width(request: HttpRequest) -> int:
    """The room the page's script found for the music; without it, a guess from the headers."""
    width = request.POST.get("width", "")
    return int(width) if width.isdecimal() and len(width) < 6 else likely_width(request.headers)
