from typing import cast

from django import forms
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext_lazy as _

from repertoire.models import instrument_choices
from studio.models import Audition, Requirement
from studio.services.levels import settle_level
from studio.services.requirement_copy import Wanted


class AuditionChoice(forms.ModelChoiceField):
    def label_from_instance(self, obj: Audition) -> str:
        return f"{obj.name} ({obj.season.name})"


class CopyForm(forms.Form):
    """Read from the address, so that the preview can be gone back to; sent again to store it."""

    source = AuditionChoice(label=_("From"), queryset=Audition.objects.none(), empty_label=None)
    instrument = forms.ChoiceField(label=_("Only this instrument"), required=False)
    level = forms.ChoiceField(label=_("Only this level"), required=False)
    as_instrument = forms.ChoiceField(
        label=_("For another instrument"),
        required=False,
        help_text=_("Scale sheets of the same kind, and music of the same title, are looked for."),
    )
    as_level = forms.CharField(label=_("For another level"), required=False, max_length=40)

    def __init__(self, asked: MultiValueDict, *, target: Audition) -> None:
        super().__init__(asked or None)
        self.target = target
        with_music = Requirement.objects.order_by().values("audition")
        auditions = Audition.objects.filter(pk__in=with_music).select_related("season")
        cast(forms.ModelChoiceField, self.fields["source"]).queryset = auditions.order_by("-closes_at", "-pk")
        used = set(Requirement.objects.order_by().values_list("instrument", flat=True).distinct())
        levels = sorted(set(Requirement.objects.order_by().values_list("level", flat=True).distinct()))
        names = list(instrument_choices())
        self._offer("instrument", _("all"), [(key, name) for key, name in names if key in used])
        self._offer("level", _("all"), [(level, level) for level in levels])
        self._offer("as_instrument", _("as it is"), names)

    def _offer(self, field: str, nothing, choices: list) -> None:
        cast(forms.ChoiceField, self.fields[field]).choices = [("", nothing), *choices]

    def clean_as_level(self) -> str:
        level = self.cleaned_data["as_level"].strip()
        return settle_level(level) if level else ""

    def clean(self) -> dict:
        data = super().clean() or {}
        if data.get("as_instrument") and not data.get("instrument"):
            self.add_error("instrument", _("Choose the one instrument whose requirements are taken over."))
        moved = data.get("as_instrument") or data.get("as_level")
        if data.get("source") == self.target and not moved:
            self.add_error("source", _("Choose another audition, or name another instrument or level."))
        return data

    def wanted(self) -> Wanted:
        return Wanted(target=self.target, **self.cleaned_data)
