from django.contrib import messages
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _

from repertoire.paging import page_of
from studio.access import role_required
from studio.forms.season import SeasonForm
from studio.models import Role, Season


@role_required(Role.DIRECTOR, Role.TEACHER)
def season_list(request: HttpRequest) -> HttpResponse:
    seasons = Season.objects.annotate(audition_count=Count("auditions")).order_by("-starts_on", "-pk")
    return render(request, "studio/season_list.html", {"page": page_of(request, seasons)})


@role_required(Role.DIRECTOR, Role.TEACHER)
def season_detail(request: HttpRequest, pk: int) -> HttpResponse:
    season = get_object_or_404(Season, pk=pk)
    auditions = season.auditions.annotate(entry_count=Count("entries")).order_by("closes_at", "pk")
    return render(
        request, "studio/season_detail.html", {"season": season, "page": page_of(request, auditions)}
    )


@role_required(Role.DIRECTOR)
def season_add(request: HttpRequest) -> HttpResponse:
    return _season_form(request, Season(), _("New season"))


@role_required(Role.DIRECTOR)
def season_edit(request: HttpRequest, pk: int) -> HttpResponse:
    return _season_form(request, get_object_or_404(Season, pk=pk), _("Change the season"))


def _season_form(request: HttpRequest, season: Season, heading: str) -> HttpResponse:
    form = SeasonForm(request.POST or None, instance=season)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, _("The season is saved."))
        return redirect("season_detail", season.pk)
    return render(request, "studio/form_page.html", {"form": form, "heading": heading})
