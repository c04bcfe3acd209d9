from django import forms
from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _

from repertoire.paging import page_of

ENOUGH_FOR_A_PAGER = range(60)


class SampleForm(forms.Form):
    """One field of every kind; the first stays empty, so that its error is seen too."""

    name = forms.CharField(label=_("Name"), help_text=_("As it is printed on the entry."))
    level = forms.ChoiceField(label=_("Level"), choices=[("senior", _("Senior")), ("junior", _("Junior"))])
    closes_on = forms.DateField(label=_("Date"), widget=forms.DateInput(attrs={"type": "date"}))
    repeats = forms.ChoiceField(
        label=_("Repeats"),
        choices=[("yes", _("as printed")), ("no", _("without repeats"))],
        widget=forms.RadioSelect,
    )
    for_all = forms.BooleanField(label=_("For all students"), help_text=_("Also those who come later."))
    sound = forms.FileField(label=_("Recording"), required=False)
    notes = forms.CharField(label=_("Notes"), widget=forms.Textarea(attrs={"rows": 3}))


def components(request: HttpRequest) -> HttpResponse:
    """All of components.css on one page, for who changes the look; there is no such page without DEBUG."""
    if not settings.DEBUG:
        raise Http404
    filled = {"name": "", "level": "senior", "closes_on": "2026-12-18", "repeats": "yes", "for_all": "on"}
    form = SampleForm({**filled, "notes": "♭ ♮ ♯"})
    return render(
        request, "studio/components.html", {"form": form, "page": page_of(request, ENOUGH_FOR_A_PAGER)}
    )
