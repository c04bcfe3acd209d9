"""The filters of the readiness page: read from the address, shown in the form, asked of the database."""

from typing import cast
from urllib.parse import urlencode

from django import forms
from django.db.models import Exists, OuterRef, QuerySet
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from recordings.access import entries_of_staff
from recordings.readiness.kept import cells_now
from recordings.readiness.rows import STATE_WORDS
from repertoire.models import instrument_choices
from studio.models import Audition, Entry, User


class Filters(forms.Form):
    """What is asked for; a value nobody offers is as good as none, so an old address still opens the page."""

    audition = forms.ChoiceField(label=_("Audition"), required=False)
    instrument = forms.ChoiceField(label=_("Instrument"), required=False)
    teacher = forms.ChoiceField(label=_("Teacher"), required=False)
    state = forms.ChoiceField(
        label=_("State"),
        required=False,
        choices=[("", _("any")), *((state.value, words) for state, words in STATE_WORDS.items())],
    )

    def __init__(self, asked, *, user: User) -> None:
        super().__init__(asked, auto_id="f-%s", label_suffix="")
        self.visible = entries_of_staff(user)
        self._offer("audition", self._auditions())
        self._offer("instrument", self._instruments())
        if user.is_director:
            self._offer("teacher", self._teachers())
        else:
            del self.fields["teacher"]
        self.is_valid()

    def _offer(self, name: str, choices: list[tuple[str, str]]) -> None:
        cast(forms.ChoiceField, self.fields[name]).choices = choices

    def _auditions(self) -> list[tuple[str, str]]:
        used = Audition.objects.filter(Exists(self.visible.filter(audition=OuterRef("pk"))))
        rows = used.values_list("pk", "name", "season__name")
        listed = [(str(pk), f"{name} ({season})") for pk, name, season in rows]
        return [("", str(_("all of running seasons"))), *listed]

    def _teachers(self) -> list[tuple[str, str]]:
        teaching = Entry.objects.filter(student__teacher=OuterRef("pk"))
        rows = User.objects.filter(Exists(teaching)).order_by("name", "pk").values_list("pk", "name")
        return [("", str(_("all"))), *((str(pk), name) for pk, name in rows)]

    def _instruments(self) -> list[tuple[str, str]]:
        """Those somebody is entered with, and the one asked for."""
        used = set(self.visible.order_by().values_list("instrument", flat=True).distinct())
        used.add(self.data.get("instrument", ""))
        return [("", str(_("all"))), *((key, name) for key, name in instrument_choices() if key in used)]

    def entries(self) -> QuerySet[Entry]:
        """The entries asked for, in the order of the tables; with no audition named, those of seasons that
        are not over.
        """
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
        return wanted.order_by(
            "audition__closes_at", "audition", "instrument", "level", "student__name", "pk"
        )

    def shown(self) -> QuerySet[Entry]:
        """Of these, the ones with at least one requirement in the state asked for."""
        entries = self.entries().select_related("student__teacher", "audition__season")
        if not self.chosen_state:
            return entries
        alike = cells_now().filter(entry=OuterRef("pk"), state=self.chosen_state)
        return entries.filter(Exists(alike))

    @property
    def chosen_state(self) -> str:
        return self.cleaned_data.get("state", "")

    @property
    def any_set(self) -> bool:
        return any(self.cleaned_data.values())

    def address(self, **changed: str) -> str:
        """The query text of these filters with some of them changed."""
        asked = {name: getattr(value, "pk", value) for name, value in self.cleaned_data.items()} | changed
        return urlencode({name: value for name, value in asked.items() if value})
