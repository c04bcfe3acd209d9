from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from repertoire.uploads import takes_files
from studio.access import role_required
from studio.download import csv_answer
from studio.forms.student_import import ColumnsForm, TableFileForm, TableTextForm
from studio.models import Event, Role
from studio.services.events import record
from studio.services.student_table import CHANGED, NEW, SAME, StudentTable, exported, likely_columns
from studio.services.table_file import Table, text_of

ANSWER = "line_"
MOST_SHOWN = 100


@takes_files
@require_http_methods(["GET", "HEAD", "POST"])
@role_required(Role.DIRECTOR)
def student_import(request: HttpRequest) -> HttpResponse:
    """A file is only looked at; the page that tells what it would do sends the table again to do it."""
    if "table" in request.POST:
        text = TableTextForm(request.POST)
        if text.is_valid():
            return _checked(request, text.cleaned_data["table"], request.POST)
        messages.error(request, str(text.errors["table"][0]))
    upload = TableFileForm(request.POST, request.FILES) if request.FILES else TableFileForm()
    if request.FILES and upload.is_valid():
        table = upload.cleaned_data["file"]
        likely = {key: str(place) for key, place in likely_columns(table.headings).items()}
        return _checked(request, table, likely)
    if request.method == "POST" and not request.FILES:
        upload = TableFileForm(request.POST)
    return render(request, "studio/student_import.html", {"upload": upload})


def _checked(request: HttpRequest, table: Table, chosen) -> HttpResponse:
    columns = ColumnsForm(chosen, headings=table.headings)
    context = {"columns": columns, "text": text_of(table)}
    if columns.is_valid():
        checked = StudentTable(table, columns.places, _answers(request))
        open_lines = checked.count(None)
        if "import" in request.POST and (not open_lines or "leave_out" in request.POST):
            checked.save()
            messages.success(request, _told(checked))
            return redirect("student_list")
        unsettled = [step for step in checked.steps if not step.does]
        context |= {
            "steps": [*unsettled[:MOST_SHOWN], *checked.sound[:MOST_SHOWN]],
            "answers": {step.line.number: checked.answers.get(step.line.number) for step in checked.sound},
            "new": checked.count(NEW),
            "changed": checked.count(CHANGED),
            "same": checked.count(SAME),
            "unsettled": open_lines,
            "refused": "import" in request.POST,
            "shortened": max(open_lines, len(checked.sound)) > MOST_SHOWN,
        }
    return render(request, "studio/student_import.html", context)


def _answers(request: HttpRequest) -> dict[int, str]:
    """Whom the person said a line is about, by the line's number."""
    return {
        int(name.removeprefix(ANSWER)): str(answer)
        for name, answer in request.POST.items()
        if name.startswith(ANSWER) and name.removeprefix(ANSWER).isdecimal() and answer
    }


def _told(checked: StudentTable) -> str:
    numbers = {"new": checked.count(NEW), "changed": checked.count(CHANGED), "same": checked.count(SAME)}
    return _("New: %(new)s. Changed: %(changed)s. Already as in the table: %(same)s.") % numbers


@role_required(Role.DIRECTOR)
def student_export(_request: HttpRequest) -> HttpResponse:
    record(Event.Kind.EXPORTED)
    return csv_answer(exported(), "students")
