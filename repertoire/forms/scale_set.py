"""Many scale sheets in one go: one sheet a scale, in the order of the key signatures."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from repertoire.forms.scale import KINDS, SPEC, SheetFields, keep_sheet, spec_of
from repertoire.forms.temperament import temperament_field
from repertoire.models import Excerpt
from repertoire.notation.read.reading import CanonicalScore
from repertoire.notation.score import BadScore
from repertoire.notation.write.scale_sets import MOST_ACCIDENTALS, SetScale, scales_of_set
from repertoire.notation.write.scales import scale_sheet
from repertoire.wording.words import words

MOST_SHEETS = 60


def accidentals(label: Any) -> forms.IntegerField:
    return forms.IntegerField(
        label=label,
        min_value=0,
        max_value=MOST_ACCIDENTALS,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )


class ScaleSetForm(SheetFields, forms.ModelForm):
    kinds = forms.MultipleChoiceField(
        label=gettext_lazy("Kinds"), choices=KINDS, widget=forms.CheckboxSelectMultiple, initial=["major"]
    )
    sharps = accidentals(gettext_lazy("Up to so many sharps"))
    flats = accidentals(gettext_lazy("Up to so many flats"))
    leave_out = forms.BooleanField(label=gettext_lazy("Make the others without these"), required=False)

    class Meta:
        model = Excerpt
        fields = ["instrument", "marked_bpm", "beat_unit", "temperament"]
        help_texts = {"marked_bpm": gettext_lazy("Beats a minute.")}
        widgets = {"marked_bpm": forms.NumberInput(attrs={"inputmode": "decimal"})}

    field_order = ["instrument", "kinds", "sharps", "flats", *SPEC[2:], "marked_bpm"]

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["temperament"] = temperament_field()
        self.sheets: list[tuple[SetScale, CanonicalScore]] = []
        self.misfits: list[str] = []
        self.initial.setdefault("sharps", 4)
        self.initial.setdefault("flats", 0)

    def clean(self) -> dict:
        super().clean()
        data = self.cleaned_data
        if self.errors:
            return data
        scales = scales_of_set(data["kinds"], sharps=data["sharps"], flats=data["flats"])
        if len(scales) > MOST_SHEETS:
            raise ValidationError(
                _("These are %(count)d sheets; please make at most %(most)d at once.")
                % {"count": len(scales), "most": MOST_SHEETS}
            )
        self._write(scales, data)
        if self.misfits and not (data["leave_out"] and self.sheets):
            raise ValidationError(self.misfits)
        return data

    def _write(self, scales: list[SetScale], data: dict) -> None:
        for scale in scales:
            values = {"tonic": scale.tonic, "kind": scale.kind}
            try:
                self.sheets.append((scale, scale_sheet(spec_of(values, data), title=words)))
            except BadScore as error:
                self.misfits.append(words(error.sentence))

    def keep(self) -> str:
        """Keep all sheets or none; what became of them, as a sentence."""
        with transaction.atomic():
            kept = [
                keep_sheet(canonical, {"tonic": scale.tonic, "kind": scale.kind}, self.cleaned_data)
                for scale, canonical in self.sheets
            ]
        new = sum(is_new for _excerpt, is_new in kept)
        made = ngettext("%(count)d sheet was made", "%(count)d sheets were made", new) % {"count": new}
        if new == len(kept):
            return _("%(made)s.") % {"made": made}
        return _("%(made)s; %(old)d were in the library already.") % {"made": made, "old": len(kept) - new}
