from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from recordings.sight.levels import LEVELS
from recordings.sight.page import Choice
from repertoire.words import bar_words


class NewExerciseForm(forms.Form):
    """After which music, and how hard."""

    requirement = forms.TypedChoiceField(label=_("Music"), coerce=int)
    level = forms.TypedChoiceField(label=_("How hard"), coerce=int, choices=list(LEVELS.items()))

    def __init__(self, *args, choices: list[Choice], **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.known = {choice.requirement.pk: choice for choice in choices}
        field: Any = self.fields["requirement"]
        field.choices = [(pk, _named(choice)) for pk, choice in self.known.items()]

    @property
    def choice(self) -> Choice:
        return self.known[self.cleaned_data["requirement"]]


def _named(choice: Choice) -> str:
    """ "Lamplight Study, bars 10-16 (Violin, Senior)"."""
    asked = choice.requirement
    bars = f", {bar_words(asked.from_bar, asked.to_bar)}" if asked.from_bar else ""
    return f"{asked.excerpt.title}{bars} ({asked.get_instrument_display()}, {asked.level})"
