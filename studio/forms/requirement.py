from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any, ClassVar, cast

from django import forms
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repertoire.forms.rare import RareFields
from repertoire.models import Excerpt, Rubric, instrument_choices
from repertoire.notation.order.order_line import (
    FIRST_ENDINGS,
    LAST_ENDINGS,
    LONGEST_LINE,
    PRINTED,
    compose_order,
    parse_order,
    print_order,
)
from repertoire.notation.score import BadScore, Score
from repertoire.wording.words import short_number, words
from studio.forms.fields import LEVEL_HELP, LevelInput, MomentInput, check_year, moment_help
from studio.forms.meant import AsksBack, day_words, is_over
from studio.models import Audition, Requirement
from studio.services.levels import settle_level

# The range accepted around the mark where the director says nothing: common practice, no published source.
ACCEPTED_SHARE = Decimal("0.08")
SLOWEST, FASTEST = 1 - ACCEPTED_SHARE, 1 + ACCEPTED_SHARE
# An internal deadline a week before the closing time is usual advice: mmea.org, all-state audition pages.
DAYS_BEFORE_CLOSING = 7
# Measurements of takes already handed in rest on these, so they stay as they were.
FIXED_BY_TAKES = ("excerpt", "played", "from_bar", "to_bar", "leave_out", "order_line", "level")
LINE = "line"
PLAYED = [
    (PRINTED, _("as printed, with repeats")),
    (LAST_ENDINGS, _("without repeats, last endings")),
    (FIRST_ENDINGS, _("without repeats, first endings")),
    (LINE, _("in the order written below")),
]


FIELD_ORDER = ["excerpt", "level", "rubric", "played", "from_bar", "to_bar", "leave_out", "order_line"]


def _played(requirement: Requirement) -> str:
    if requirement.order_line:
        return LINE
    return PRINTED if requirement.with_repeats else LAST_ENDINGS


class ExcerptChoice(forms.ModelChoiceField):
    def label_from_instance(self, excerpt: Excerpt) -> str:
        return f"{excerpt.title} ({excerpt.get_beat_unit_display()} = {short_number(excerpt.marked_bpm)})"


def _bars(data: dict) -> tuple[str, str] | None:
    first, last = data.get("from_bar"), data.get("to_bar")
    return (first, last) if first and last else None


class InstrumentForm(forms.Form):
    """The first step of a new requirement: the music on offer is the instrument's."""

    instrument = forms.ChoiceField(label=_("Instrument"), choices=instrument_choices)


def tempo_field(label: Any, help_text: Any) -> forms.DecimalField:
    """Beats a minute; what is left empty is filled in from the music."""
    return forms.DecimalField(
        label=label, help_text=help_text, required=False, min_value=10, max_digits=5, decimal_places=1
    )


def accepted_bound(marked: Decimal, share: Decimal) -> Decimal:
    """A whole number of beats a minute at this share of the mark."""
    return max((marked * share).quantize(Decimal(1)), Decimal(10))


def usual_deadline(audition: Audition) -> datetime:
    return audition.closes_at - timedelta(days=DAYS_BEFORE_CLOSING)


class AsksAboutDeadline(AsksBack):
    def ask_about_deadline(self, due_at, audition: Audition) -> None:
        starts_on = audition.season.starts_on
        if timezone.localdate(due_at) < starts_on:
            words = _("This is before the season begins (%(start)s).")
            self.ask_back("due_at", words % {"start": day_words(starts_on)})
        elif is_over(due_at):
            self.ask_back("due_at", _("This time has passed already."))


class RequirementForm(RareFields, AsksAboutDeadline, forms.ModelForm):
    """Expects an instance that already carries its audition and instrument."""

    rare = ("leave_out", "order_line", "may_be_stopped")

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

    played = forms.ChoiceField(label=_("How it is played"), choices=PLAYED, initial=PRINTED)
    leave_out = forms.CharField(
        label=_("A cut: leave out bars"),
        required=False,
        max_length=200,
        help_text=_("Such as 9-12. Leave empty for no cut."),
    )
    order_line = forms.CharField(
        label=_("Order of play as a line"),
        required=False,
        max_length=LONGEST_LINE,
        help_text=_(
            "Ranges of bars as they are played: 1-8, 1-7, 9, 10-24, coda 25-30. "
            "Only read when the order written here is chosen above; it then says everything by itself."
        ),
    )

    class Meta:
        model = Requirement
        fields = [
            "excerpt",
            "level",
            "rubric",
            "from_bar",
            "to_bar",
            "marked_bpm",
            "low_bpm",
            "high_bpm",
            "may_be_stopped",
            "due_at",
        ]
        widgets: ClassVar[dict] = {"level": LevelInput, "due_at": MomentInput}
        help_texts = {
            "level": LEVEL_HELP,
            "from_bar": _("As printed. Leave both bars empty for the whole piece."),
            "may_be_stopped": _(
                "The student is told so, and a take that ends early is not held against them."
            ),
        }

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.order_fields(FIELD_ORDER)
        self.asked: tuple[int, ...] | None = None
        self.initial["order_line"] = self.instance.order_line
        self.initial["played"] = _played(self.instance)
        cast(forms.ModelChoiceField, self.fields["excerpt"]).queryset = Excerpt.objects.filter(
            instrument=self.instance.instrument
        ).for_lists()
        cast(forms.ModelChoiceField, self.fields["rubric"]).queryset = Rubric.objects.current()
        self.fields["due_at"].help_text = moment_help()
        self.fields["due_at"].validators.append(check_year)
        if not self.instance.pk:
            self.initial["due_at"] = usual_deadline(self.instance.audition)
        self.has_takes = bool(self.instance.pk) and self.instance.takes.exists()
        if self.has_takes:
            for name in FIXED_BY_TAKES:
                self.fields[name].disabled = True

    @property
    def asked_errors(self) -> list[str]:
        """What keeps the order of play from being read, for the preview beside the fields."""
        names = ("excerpt", "played", "from_bar", "to_bar", "leave_out", "order_line")
        return [str(error) for name in names for error in self.errors.get(name, ())]

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
        super().clean()
        data = self.cleaned_data
        excerpt = data.get("excerpt")
        if excerpt and not data.get("marked_bpm") and "marked_bpm" not in self.errors:
            data["marked_bpm"] = excerpt.marked_bpm
        self._fill_tempo_range(data)
        self._check_tempo_range(data)
        self._settle_order(data)
        if excerpt and self._same(data).exists():
            self.add_error("excerpt", _("This audition already asks for this music at this level."))
        if data.get("due_at") and "due_at" in self.changed_data:
            self.ask_about_deadline(data["due_at"], self.instance.audition)
        return data

    def _settle_order(self, data: dict) -> None:
        """What was chosen, as one order; only what the plain fields cannot say is kept as a line."""
        played, excerpt, typed = data.get("played"), data.get("excerpt"), data.get("order_line", "")
        half_a_range = bool(data.get("from_bar")) != bool(data.get("to_bar"))
        if not (played and excerpt) or half_a_range:
            return
        if played != LINE and typed and "order_line" in self.changed_data:
            self.add_error("played", _("To use the line below, choose “in the order written below”."))
            return
        score = excerpt.score
        self.instance.with_repeats = played in (PRINTED, LINE)
        try:
            if played == LINE:
                self.asked = parse_order(score, typed)
                data |= {"from_bar": "", "to_bar": "", "order_line": print_order(score, self.asked)}
            else:
                self.asked = self._composed(score, data)
        except BadScore as error:
            if played == LINE or self._range_is_right(score, data):
                self.add_error("order_line" if played == LINE else "leave_out", words(error.sentence))
        if len(data.get("order_line", "")) > LONGEST_LINE:
            self.add_error(
                "order_line" if played == LINE else "leave_out",
                _("Written out, the order is longer than %(count)d characters; please ask for less.")
                % {"count": LONGEST_LINE},
            )
        self.instance.order_line = data.get("order_line", "")

    def _composed(self, score: Score, data: dict) -> tuple[int, ...]:
        cut, bars = data.get("leave_out", ""), _bars(data)
        asked = compose_order(score, repeats=data["played"], bars=bars, cut=cut)
        special = cut or data["played"] == FIRST_ENDINGS
        data["order_line"] = print_order(score, asked) if special else ""
        if special:
            data |= {"from_bar": "", "to_bar": ""}
        return asked

    def _range_is_right(self, score: Score, data: dict) -> bool:
        """Otherwise the requirement itself says what is wrong with its bars."""
        try:
            compose_order(score, repeats=data["played"], bars=_bars(data))
        except BadScore:
            return False
        return True

    def _same(self, data: dict) -> QuerySet[Requirement]:
        bars = {name: data.get(name, "") for name in ("from_bar", "to_bar", "order_line")}
        same = self.instance.audition.requirements.filter(excerpt=data["excerpt"], **bars)
        return same.filter(level=data.get("level", "")).exclude(pk=self.instance.pk)

    def _fill_tempo_range(self, data: dict) -> None:
        marked = data.get("marked_bpm")
        for name, share in (("low_bpm", SLOWEST), ("high_bpm", FASTEST)):
            if marked and data.get(name) is None and name not in self.errors:
                data[name] = accepted_bound(marked, share)

    def _check_tempo_range(self, data: dict) -> None:
        low, marked, high = (data.get(name) for name in ("low_bpm", "marked_bpm", "high_bpm"))
        if low and marked and low > marked:
            self.add_error("low_bpm", _("This is above the marked tempo."))
        if high and marked and high < marked:
            self.add_error("high_bpm", _("This is below the marked tempo."))
