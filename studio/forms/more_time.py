from itertools import groupby
from typing import cast

from django import forms
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext_lazy as _

from repertoire.wording.instruments import instrument_name
from studio.forms.fields import MomentInput, check_year, moment_help
from studio.forms.meant import AsksBack, day_words
from studio.models import Audition, Entry

EVERYBODY = "all"


class MoreTimeForm(AsksBack, forms.Form):
    """For one student, for an instrument and level, or for everybody entered."""

    who = forms.ChoiceField(label=_("For whom"))
    until = forms.DateTimeField(label=_("Until"), widget=MomentInput, validators=[check_year])
    reason = forms.CharField(
        label=_("Reason"),
        max_length=200,
        help_text=_("Only staff read it. Please write no more about somebody's health than is needed."),
    )

    def __init__(self, data: MultiValueDict | None, *, audition: Audition, initial: dict) -> None:
        super().__init__(data, initial=initial)
        self.audition = audition
        self.fields["until"].help_text = moment_help()
        self.entered = list(audition.entries.select_related("student").order_by("instrument", "level", "pk"))
        cast(forms.ChoiceField, self.fields["who"]).choices = self._choices()

    def _choices(self) -> list:
        groups = [
            (f"{instrument}/{level}", f"{instrument_name(instrument)}, {level}")
            for (instrument, level), _entries in groupby(self.entered, key=lambda e: (e.instrument, e.level))
        ]
        students = sorted(
            (entry.student.name, entry.get_instrument_display(), str(entry.pk)) for entry in self.entered
        )
        return [
            (_("Several"), [(EVERYBODY, _("everybody entered")), *groups]),
            (_("One student"), [(pk, f"{name}, {instrument}") for name, instrument, pk in students]),
        ]

    def clean_until(self):
        until = self.cleaned_data["until"]
        if until <= timezone.now():
            raise forms.ValidationError(_("This time has passed already."))
        return until

    def clean(self) -> dict:
        data = super().clean() or {}
        if data.get("until") and timezone.localdate(data["until"]) > self.audition.held_on:
            words = _("This is after the audition itself (%(day)s).")
            self.ask_back("until", words % {"day": day_words(self.audition.held_on)})
        return data

    def entries(self) -> QuerySet[Entry]:
        who, entries = self.cleaned_data["who"], self.audition.entries.all()
        if who == EVERYBODY:
            return entries
        if "/" in who:
            instrument, level = who.split("/", 1)
            return entries.filter(instrument=instrument, level=level)
        return entries.filter(pk=who)
