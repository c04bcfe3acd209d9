from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import ngettext

from studio.access import role_required
from studio.forms.requirement_many import InstrumentsForm, ManyRequirementsForm
from studio.models import Audition, Role


@role_required(Role.DIRECTOR)
def requirement_add_many(request: HttpRequest, pk: int) -> HttpResponse:
    """Two steps without a script: the instruments (`?instrument=` each), then their music."""
    audition = get_object_or_404(Audition.objects.select_related("season"), pk=pk)
    choice = InstrumentsForm(request.GET, audition=audition)
    if not choice.is_valid():
        return render(request, "studio/requirement_instruments.html", {"form": choice, "audition": audition})
    instruments = choice.cleaned_data["instrument"]
    form = ManyRequirementsForm(request.POST or None, audition=audition, instruments=instruments)
    if request.method == "POST" and form.is_valid():
        _tell(request, *form.keep())
        return redirect("audition_detail", audition.pk)
    return render(request, "studio/requirement_many.html", {"form": form, "audition": audition})


def _tell(request: HttpRequest, made: int, there: int) -> None:
    words = ngettext("%(count)d requirement is saved.", "%(count)d requirements are saved.", made)
    known = ngettext(
        "%(count)d was there already and stays as it is.",
        "%(count)d were there already and stay as they are.",
        there,
    )
    told = [words % {"count": made}, known % {"count": there} if there else ""]
    messages.success(request, " ".join(part for part in told if part))
