from datetime import timedelta
from typing import Any

from django import forms
from django.db.models import Max, Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from studio.forms.fields import DayInput, MomentInput, check_year, moment_help
from studio.forms.meant import AsksBack, day_words, is_over
from studio.models import Audition, Season

LONGEST_KEPT_DAYS = 3650
# A round of auditions takes weeks or months: common practice, no published source.
LONGEST_SEASON_DAYS = 366


class SeasonForm(AsksBack, forms.ModelForm):
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
        elif starts_on and ends_on and {"starts_on", "ends_on"}.intersection(self.changed_data):
            self._ask_about_dates(starts_on, ends_on)
        return data

    def _ask_about_dates(self, starts_on, ends_on) -> None:
        outside = self._audition_outside(starts_on, ends_on)
        if is_over(ends_on):
            self.ask_back("ends_on", _("This day is over already. Is the year right?"))
        elif ends_on - starts_on > timedelta(days=LONGEST_SEASON_DAYS):
            self.ask_back("ends_on", _("This season is longer than a year. Is the year right?"))
        elif outside:
            words = _("“%(name)s” on %(day)s would lie outside the season.")
            self.ask_back("ends_on", words % {"name": outside.name, "day": day_words(outside.held_on)})

    def _audition_outside(self, starts_on, ends_on) -> Audition | None:
        if not self.instance.pk:
            return None
        outside = Q(held_on__lt=starts_on) | Q(held_on__gt=ends_on)
        return self.instance.auditions.filter(outside).first()


class AuditionForm(AsksBack, forms.ModelForm):
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

    def clean(self) -> dict:
        super().clean()
        data = self.cleaned_data
        if data.get("held_on") and data.get("closes_at"):
            self._check_dates(data["held_on"], data["closes_at"])
        return data

    def _check_dates(self, held_on, closes_at) -> None:
        season, changed = self.instance.season, self.changed_data
        closing_day = timezone.localdate(closes_at)
        words: dict[str, Any] = {
            "start": day_words(season.starts_on),
            "end": day_words(season.ends_on),
            "day": day_words(held_on),
        }
        if closing_day > held_on:
            self.add_error("closes_at", _("This is after the audition itself (%(day)s).") % words)
        elif "closes_at" in changed and is_over(closes_at):
            self._tell_past_closing(closing_day, words)
        elif "closes_at" in changed and closing_day < season.starts_on:
            self.ask_back("closes_at", _("This is before the season begins (%(start)s).") % words)
        if "held_on" in changed and not season.starts_on <= held_on <= season.ends_on:
            self.ask_back("held_on", _("This day lies outside the season (%(start)s to %(end)s).") % words)
        elif "held_on" in changed and is_over(held_on):
            self.ask_back("held_on", _("This day is over already. Is the year right?"))

    def _tell_past_closing(self, closing_day, words: dict[str, Any]) -> None:
        season = self.instance.season
        if closing_day < season.starts_on and not is_over(season.ends_on):
            self.add_error(
                "closes_at",
                _("This is over already and before the season begins (%(start)s). Please check the year.")
                % words,
            )
        else:
            self.ask_back("closes_at", _("This time is over already. Is the year right?"))
