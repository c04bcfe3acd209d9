"""The temperament of new music: chosen, or the instrument's usual one."""

from django import forms
from django.utils.translation import gettext_lazy as _

from repertoire.models import Excerpt
from repertoire.notation.instruments import INSTRUMENTS


def temperament_field() -> forms.ChoiceField:
    return forms.ChoiceField(
        label=_("Temperament"),
        choices=[("", _("as usual for the instrument")), *Excerpt.Temperament.choices],
        required=False,
        help_text=_("What intonation is measured against. Usual: Pythagorean for bowed strings, else equal."),
    )


def settle_temperament(data: dict) -> str:
    return data["temperament"] or INSTRUMENTS[data["instrument"]].temperament
