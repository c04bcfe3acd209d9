"""The filters of the readiness page: read from the address, shown again in the form, applied to rows."""

from typing import cast
from urllib.parse import urlencode

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from recordings.access import entries_of_staff
from recordings.readiness.rows import STATE_WORDS, Row
from repertoire.models import instrument_choices
from studio.models import Audition, Entry, User


class AuditionField(forms.ModelChoiceField):
    def label_from_instance(self, obj: Audition) -> str:
        return f"{obj.name} ({obj.season.name})"


class Filters(forms.Form):
    """What is asked for; a value nobody offers is as good as none, so an old address still opens the page."""

    audition = AuditionField(
        label=_("Audition"),
        queryset=Audition.objects.none(),
        required=False,
        empty_label=_("all of running seasons"),
    )
    instrument = forms.ChoiceField(label=_("Instrument"), required=False)
    teacher = forms.ModelChoiceField(
        label=_("Teacher"), queryset=User.objects.none(), required=False, empty_label=_("all")
    )
    state = forms.ChoiceField(
        label=_("State"),
        required=False,
        choices=[("", _("any")), *((state.value, words) for state, words in STATE_WORDS.items())],
    )

    def __init__(self, asked, *, user: User) -> None:
        super().__init__(asked, auto_id="f-%s", label_suffix="")
        self.visible = entries_of_staff(user)
        auditions = Audition.objects.filter(entries__in=self.visible).select_related("season").distinct()
        cast(forms.ModelChoiceField, self.fields["audition"]).queryset = auditions
        cast(forms.ChoiceField, self.fields["instrument"]).choices = self._instruments()
        if user.is_director:
            teachers = User.objects.filter(taught_students__entries__in=self.visible)
            offered = cast(forms.ModelChoiceField, self.fields["teacher"])
            offered.queryset = teachers.distinct().order_by("name", "pk")
        else:
            del self.fields["teacher"]
        self.is_valid()

    def _instruments(self) -> list[tuple[str, str]]:
        """Those somebody is entered with, and the one asked for."""
        used = set(self.visible.order_by().values_list("instrument", flat=True).distinct())
        used.add(self.data.get("instrument", ""))
        return [("", str(_("all"))), *((key, name) for key, name in instrument_choices() if key in used)]

    def entries(self) -> list[Entry]:
        """The entries asked for; with no audition named, those of seasons that are not over."""
        asked = self.cleaned_data
        wanted = self.visible
        if asked.get("audition"):
            wanted = wanted.filter(audition=asked["audition"])
        else:
            wanted = wanted.filter(audition__season__ends_on__gte=timezone.localdate())
        if asked.get("instrument"):
            wanted = wanted.filter(instrument=asked["instrument"])
        if asked.get("teacher"):
            wanted = wanted.filter(student__teacher=asked["teacher"])
        return list(wanted.select_related("student__teacher", "audition__season"))

    @property
    def chosen_state(self) -> str:
        return self.cleaned_data.get("state", "")

    def with_state(self, rows: list[Row]) -> list[Row]:
        """The rows with at least one requirement in the state asked for."""
        if not self.chosen_state:
            return rows
        return [row for row in rows if any(cell.state == self.chosen_state for cell in row.cells)]

    @property
    def any_set(self) -> bool:
        return any(self.cleaned_data.values())

    def address(self, **changed: str) -> str:
        """The query text of these filters with some of them changed."""
        asked = {name: getattr(value, "pk", value) for name, value in self.cleaned_data.items()} | changed
        return urlencode({name: value for name, value in asked.items() if value})
