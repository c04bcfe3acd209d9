from typing import cast

from django import forms
from django.db.models import Count
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from repertoire.notation.instruments import INSTRUMENTS
from studio.models import Audition, Student


class EntryForm(forms.Form):
    student = forms.ModelChoiceField(label=_("Student"), queryset=Student.objects.none())

    def __init__(self, *args, audition: Audition, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.audition = audition
        cast(forms.ModelChoiceField, self.fields["student"]).queryset = Student.objects.all()

    def clean_student(self) -> Student:
        student = self.cleaned_data["student"]
        if self.audition.entries.filter(student=student, instrument=student.instrument).exists():
            raise forms.ValidationError(_("This student is already entered here."))
        return student

    @property
    def students(self) -> list[Student]:
        return [self.cleaned_data["student"]]


class GroupEntryForm(forms.Form):
    """Everybody of one instrument and level at once."""

    group = forms.ChoiceField(label=_("Instrument and level"))

    def __init__(self, *args, audition: Audition, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        groups = Student.objects.order_by("instrument", "level").values_list("instrument", "level")
        asked = set(audition.requirements.values_list("instrument", "level"))
        # What this audition asks for comes first, so that one hasty click enters nobody for nothing.
        counted = sorted(groups.annotate(count=Count("pk")), key=lambda group: group[:2] not in asked)
        cast(forms.ChoiceField, self.fields["group"]).choices = [
            (f"{instrument}|{level}", self._label(instrument, level, count, (instrument, level) in asked))
            for instrument, level, count in counted
        ]

    @staticmethod
    def _label(instrument: str, level: str, count: int, is_asked: bool) -> str:
        people = ngettext("%(count)s student", "%(count)s students", count) % {"count": count}
        label = f"{INSTRUMENTS[instrument].name}, {level} ({people})"
        return label if is_asked else _("%(group)s: no requirement here yet") % {"group": label}

    @property
    def students(self):
        instrument, level = self.cleaned_data["group"].split("|", 1)
        return Student.objects.filter(instrument=instrument, level=level)
