"""Marking forms and their captions, edited together."""

from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from repertoire.forms.rare import RareFields
from repertoire.models import Caption, Rubric
from repertoire.notation.numerals import plain_number

SPARE_ROWS = 3
RANGE = ("low", "high", "step")
NUMBERS = (*RANGE, "weight")


class RubricForm(forms.ModelForm):
    class Meta:
        model = Rubric
        fields = ["name", "serves", "notes", "total_shown"]
        widgets = {"notes": forms.Textarea(attrs={"rows": 3})}


class CaptionForm(RareFields, forms.ModelForm):
    rare = ("step", "weight", "decides")

    class Meta:
        model = Caption
        fields = ["position", "name", "low", "high", "step", "weight", "decides", "measured", "descriptors"]
        labels = {"position": gettext_lazy("Place"), "measured": gettext_lazy("Suggested from")}
        widgets = {"descriptors": forms.Textarea(attrs={"rows": 8})}

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["position"].required = False
        self.initial["position"] = self.instance.position or ""
        for name in NUMBERS:
            self.initial[name] = Decimal(plain_number(getattr(self.instance, name)))

    @property
    def is_spare(self) -> bool:
        """A row for a new caption in which nothing has been typed."""
        return not self.instance.pk and not (self.is_bound and self.has_changed())

    def clean_position(self) -> int:
        """A row without a place goes to the end, after the ones before it."""
        return self.cleaned_data["position"] or 999

    def clean(self) -> dict:
        super().clean()
        data = self.cleaned_data
        low, high, step = (data.get(name) for name in RANGE)
        if low is None or high is None or not step:
            return data
        if high > low and (high - low) % step:
            raise ValidationError(
                {"step": _("Steps of this size starting at the lowest mark never reach the highest.")}
            )
        return data


class CaptionRows(forms.BaseInlineFormSet):
    deleted_forms: list[forms.ModelForm]

    def clean(self) -> None:
        super().clean()
        if any(self.errors):
            return
        kept = [form for form in self.forms if form.has_changed() or form.instance.pk]
        kept = [form for form in kept if form not in self.deleted_forms]
        names = [form.cleaned_data["name"].strip().casefold() for form in kept]
        if len(set(names)) < len(names):
            raise ValidationError(_("Two captions have the same name."))
        if not kept:
            raise ValidationError(_("A marking form needs at least one caption."))
        places = [form.cleaned_data["decides"] for form in kept if form.cleaned_data["decides"]]
        if len(set(places)) < len(places):
            raise ValidationError(_("Two captions decide ties at the same place."))

    def as_next_version(self) -> list[Caption]:
        """The captions as they stand on the page, in order, to be kept beside the marked ones."""
        kept = [form for form in self.forms if form.has_changed() or form.instance.pk]
        captions = [form.instance for form in kept if form not in self.deleted_forms]
        captions.sort(key=lambda caption: caption.position)
        for place, caption in enumerate(captions, 1):
            caption.position = place
        return captions

    def save_in_order(self) -> None:
        """Save, then number the captions 1, 2, 3 by their places, later rows last where places are equal."""
        self.save()
        for place, caption in enumerate(self.instance.captions.order_by("position", "pk"), 1):
            if caption.position != place:
                caption.position = place
                caption.save(update_fields=["position"])


def keep_rubric(form: RubricForm, rows: CaptionRows) -> Rubric:
    """Save both; where marks rest on captions that were changed, as a new version."""
    with transaction.atomic():
        rubric = form.save()
        if rubric.is_marked and rows.has_changed():
            return rubric.next_version(rows.as_next_version())
        rows.instance = rubric
        rows.save_in_order()
        return rubric


CaptionFormSet = forms.inlineformset_factory(
    Rubric,
    Caption,
    form=CaptionForm,
    formset=CaptionRows,
    extra=SPARE_ROWS,
    max_num=30,
    validate_max=True,
    can_delete=True,
)
