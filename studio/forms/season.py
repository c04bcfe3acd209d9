from django import forms
from django.db.models import Max
from django.utils.translation import gettext_lazy as _

from studio.forms.fields import DayInput, MomentInput, check_year, moment_help
from studio.models import Audition, Season

LONGEST_KEPT_DAYS = 3650


class SeasonForm(forms.ModelForm):
    class Meta:
        model = Season
        fields = ["name", "starts_on", "ends_on", "keep_takes_days"]
        widgets = {"starts_on": DayInput, "ends_on": DayInput}
        help_texts = {"keep_takes_days": _("Guardians read this number before they agree.")}

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        for name in ("starts_on", "ends_on"):
            self.fields[name].validators.append(check_year)

    def clean_name(self) -> str:
        name = self.cleaned_data["name"]
        if Season.objects.filter(name__iexact=name).exclude(pk=self.instance.pk).exists():
            raise forms.ValidationError(_("There is already a season of this name."))
        return name

    def clean_keep_takes_days(self) -> int:
        days = self.cleaned_data["keep_takes_days"]
        if days > LONGEST_KEPT_DAYS:
            raise forms.ValidationError(_("Ten years (3650 days) is the longest."))
        return days

    def clean(self) -> dict:
        super().clean()
        data = self.cleaned_data
        starts_on, ends_on = data.get("starts_on"), data.get("ends_on")
        if starts_on and ends_on and ends_on < starts_on:
            self.add_error("ends_on", _("The season must end on or after the day it starts."))
        return data


class AuditionForm(forms.ModelForm):
    class Meta:
        model = Audition
        fields = ["name", "kind", "held_on", "closes_at", "notes"]
        widgets = {"held_on": DayInput, "closes_at": MomentInput, "notes": forms.Textarea(attrs={"rows": 4})}

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["closes_at"].help_text = moment_help()
        for name in ("held_on", "closes_at"):
            self.fields[name].validators.append(check_year)

    def clean_name(self) -> str:
        name = self.cleaned_data["name"]
        others = self.instance.season.auditions.exclude(pk=self.instance.pk)
        if others.filter(name__iexact=name).exists():
            raise forms.ValidationError(_("There is already an audition of this name in this season."))
        return name

    def clean_closes_at(self):
        closes_at = self.cleaned_data["closes_at"]
        latest = self.instance.pk and self.instance.requirements.aggregate(at=Max("due_at"))["at"]
        if latest and closes_at < latest:
            raise forms.ValidationError(
                _("A requirement has an internal deadline after this; move that deadline first.")
            )
        return closes_at
