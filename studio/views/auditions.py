from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _

from repertoire.paging import page_of
from studio.access import role_required
from studio.forms.season import AuditionForm
from studio.models import Audition, Role, Season


@role_required(Role.DIRECTOR, Role.TEACHER)
def audition_detail(request: HttpRequest, pk: int) -> HttpResponse:
    audition = get_object_or_404(Audition.objects.select_related("season"), pk=pk)
    requirements = audition.requirements.select_related("excerpt", "rubric").defer("excerpt__musicxml")
    entries = audition.entries.visible_to(request.user).select_related("student__teacher")
    return render(
        request,
        "studio/audition_detail.html",
        {
            "audition": audition,
            "requirements": page_of(
                request, requirements.order_by("instrument", "level", "due_at", "pk"), key="music"
            ),
            "without_music": audition.groups_without_music(),
            "entries": page_of(request, entries.order_by("student__name", "pk")),
        },
    )


@role_required(Role.DIRECTOR)
def audition_add(request: HttpRequest, pk: int) -> HttpResponse:
    season = get_object_or_404(Season, pk=pk)
    return _audition_form(request, Audition(season=season), _("New audition"))


@role_required(Role.DIRECTOR)
def audition_edit(request: HttpRequest, pk: int) -> HttpResponse:
    audition = get_object_or_404(Audition.objects.select_related("season"), pk=pk)
    return _audition_form(request, audition, _("Change the audition"))


def _audition_form(request: HttpRequest, audition: Audition, heading: str) -> HttpResponse:
    form = AuditionForm(request.POST or None, instance=audition)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, _("The audition is saved."))
        return redirect("audition_detail", audition.pk)
    context = {"form": form, "heading": heading, "within": audition.season.name}
    return render(request, "studio/form_page.html", context)
