from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from repertoire.paging import page_of
from studio.access import role_required
from studio.download import csv_answer
from studio.forms.event import EventSearch
from studio.models import Event, Role, User
from studio.models.event import KEPT_FOR
from studio.services.events import as_rows, asked_for, record
from studio.services.table_file import as_csv


@role_required(Role.DIRECTOR)
def event_list(request: HttpRequest) -> HttpResponse:
    form = EventSearch(request.GET)
    page = page_of(request, asked_for(form.cleaned_data) if form.is_valid() else Event.objects.none())
    names = dict(User.objects.filter(pk__in={event.by_number for event in page}).values_list("pk", "name"))
    lines = [(event, names.get(event.by_number, event.by_number)) for event in page]
    asked = request.GET.copy()
    asked.pop("page", None)
    context = {
        "form": form,
        "page": page,
        "lines": lines,
        "asked": asked.urlencode(),
        "kept_days": KEPT_FOR.days,
    }
    return render(request, "studio/event_list.html", context)


@role_required(Role.DIRECTOR)
def event_export(request: HttpRequest) -> HttpResponse:
    form = EventSearch(request.GET)
    events = asked_for(form.cleaned_data) if form.is_valid() else Event.objects.none()
    answer = csv_answer(as_csv(as_rows(events)), "events")
    record(Event.Kind.EXPORTED)
    return answer
