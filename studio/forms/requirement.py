from datetime import timedelta
from decimal import Decimal

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from repertoire.models import Excerpt
from studio.forms.fields import LEVEL_HELP, LevelInput, MomentInput, check_year, moment_help
from studio.levels import settle_level
from studio.models import Requirement, instrument_choices

# The range accepted around the mark where the director says nothing: common practice, no published source.
ACCEPTED_SHARE = Decimal("0.08")
# An internal deadline a week before the closing time is usual advice: mmea.org, all-state audition pages.
DAYS_BEFORE_CLOSING = 7
# Measurements of takes already handed in rest on these, so they stay as they were.
FIXED_BY_TAKES = ("excerpt", "with_repeats", "from_bar", "to_bar", "level")


class ExcerptChoice(forms.ModelChoiceField):
    def label_from_instance(self, excerpt: Excerpt) -> str:
        return f"{excerpt.title} ({excerpt.get_beat_unit_display()} = {excerpt.marked_bpm.normalize():f})"


class InstrumentForm(forms.Form):
    """The first step of a new requirement: the music on offer is the instrument's."""

    instrument = forms.ChoiceField(label=_("Instrument"), choices=instrument_choices)


def tempo_field(label: str, help_text: str) -> forms.DecimalField:
    """Beats a minute; what is left empty is filled in from the music."""
    return forms.DecimalField(
        label=label, help_text=help_text, required=False, min_value=10, max_digits=5, decimal_places=1
    )


class RequirementForm(forms.ModelForm):
    """Expects an instance that already carries its audition and instrument."""

    excerpt = ExcerptChoice(label=_("Music"), queryset=Excerpt.objects.none())
    marked_bpm = tempo_field(
        _("Marked tempo"),
        _("In the music's own beat unit. Leave empty for the tempo printed in the music."),
    )
    low_bpm = tempo_field(
        _("Accepted from"),
        _("The slowest tempo that is accepted. Leave empty for a little below the marked tempo."),
    )
    high_bpm = tempo_field(
        _("Accepted to"),
        _("The fastest tempo that is accepted. Leave empty for a little above the marked tempo."),
    )

    class Meta:
        model = Requirement
        fields = [
            "excerpt",
            "level",
            "rubric",
            "from_bar",
            "to_bar",
            "with_repeats",
            "marked_bpm",
            "low_bpm",
            "high_bpm",
            "due_at",
        ]
        widgets = {"level": LevelInput, "due_at": MomentInput}
        help_texts = {
            "level": LEVEL_HELP,
            "from_bar": _("As printed. Leave both bars empty for the whole piece."),
        }

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["excerpt"].queryset = Excerpt.objects.filter(
            instrument=self.instance.instrument
        ).for_lists()
        self.fields["due_at"].help_text = moment_help()
        self.fields["due_at"].validators.append(check_year)
        if not self.instance.pk:
            self.initial["due_at"] = self.instance.audition.closes_at - timedelta(days=DAYS_BEFORE_CLOSING)
        self.has_takes = bool(self.instance.pk) and self.instance.takes.exists()
        if self.has_takes:
            for name in FIXED_BY_TAKES:
                self.fields[name].disabled = True

    def clean_excerpt(self) -> Excerpt:
        excerpt = self.cleaned_data["excerpt"]
        if not excerpt.order_confirmed and not self.has_takes:
            raise forms.ValidationError(
                _("The order of play of this music is not confirmed yet; confirm it on the music's page.")
            )
        return excerpt

    def clean_level(self) -> str:
        return settle_level(self.cleaned_data["level"])

    def clean(self) -> dict:
        data = super().clean()
        excerpt = data.get("excerpt")
        if excerpt and not data.get("marked_bpm") and "marked_bpm" not in self.errors:
            data["marked_bpm"] = excerpt.marked_bpm
        self._fill_tempo_range(data)
        self._check_tempo_range(data)
        if excerpt and self._same(data).exists():
            self.add_error("excerpt", _("This audition already asks for this music at this level."))
        return data

    def _same(self, data: dict) -> QuerySet[Requirement]:
        bars = {name: data.get(name, "") for name in ("from_bar", "to_bar")}
        same = self.instance.audition.requirements.filter(excerpt=data["excerpt"], **bars)
        return same.filter(level=data.get("level", "")).exclude(pk=self.instance.pk)

    def _fill_tempo_range(self, data: dict) -> None:
        marked = data.get("marked_bpm")
        for name, share in (("low_bpm", 1 - ACCEPTED_SHARE), ("high_bpm", 1 + ACCEPTED_SHARE)):
            if marked and data.get(name) is None and name not in self.errors:
                data[name] = max((marked * share).quantize(Decimal(1)), Decimal(10))

    def _check_tempo_range(self, data: dict) -> None:
        low, marked, high = (data.get(name) for name in ("low_bpm", "marked_bpm", "high_bpm"))
        if low and marked and low > marked:
            self.add_error("low_bpm", _("This is above the marked tempo."))
        if high and marked and high < marked:
            self.add_error("high_bpm", _("This is below the marked tempo."))
