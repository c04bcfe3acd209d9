"""Many requirements in one go: the music of several instruments, at one or more levels, with one deadline."""

from collections.abc import Iterable
from typing import cast

from django import forms
from django.db import transaction
from django.db.models import QuerySet
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext_lazy as _

from repertoire.models import Excerpt, Rubric
from repertoire.notation.order.order_line import LAST_ENDINGS, PRINTED
from repertoire.wording.instruments import instrument_name
from studio.forms.fields import MomentInput, check_year, moment_help
from studio.forms.requirement import (
    FASTEST,
    PLAYED,
    SLOWEST,
    AsksAboutDeadline,
    ExcerptChoice,
    accepted_bound,
    usual_deadline,
)
from studio.models import Audition, Requirement
from studio.services.levels import settle_level

MOST_AT_ONCE = 200


class InstrumentsForm(forms.Form):
    """The first step: those of which there is music; who is entered is ticked already."""

    instrument = forms.MultipleChoiceField(label=_("Instruments"), widget=forms.CheckboxSelectMultiple)

    def __init__(self, asked: MultiValueDict, *, audition: Audition) -> None:
        super().__init__(asked or None)
        listed = set(Excerpt.objects.order_by().values_list("instrument", flat=True).distinct())
        named = sorted((instrument_name(key), key) for key in listed)
        field = cast(forms.MultipleChoiceField, self.fields["instrument"])
        field.choices = [(key, name) for name, key in named]
        entered = audition.entries.order_by().values_list("instrument", flat=True).distinct()
        field.initial = sorted(listed.intersection(entered))


class ManyChoice(ExcerptChoice, forms.ModelMultipleChoiceField):
    def label_from_instance(self, excerpt: Excerpt) -> str:
        return f"{instrument_name(excerpt.instrument)}: {super().label_from_instance(excerpt)}"


class ManyRequirementsForm(AsksAboutDeadline, forms.Form):
    excerpts = ManyChoice(
        label=_("Music"), queryset=Excerpt.objects.none(), widget=forms.CheckboxSelectMultiple
    )
    levels = forms.CharField(
        label=_("Level"),
        max_length=200,
        help_text=_("The studio's own word; for several at once put commas between: junior, senior."),
    )
    rubric = forms.ModelChoiceField(label=_("Marking form"), queryset=Rubric.objects.none())
    played = forms.ChoiceField(
        label=_("How it is played"), choices=[one for one in PLAYED if one[0] in (PRINTED, LAST_ENDINGS)]
    )
    due_at = forms.DateTimeField(label=_("Internal deadline"), widget=MomentInput)

    def __init__(self, *args, audition: Audition, instruments: Iterable[str], **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.audition = audition
        music = Excerpt.objects.filter(instrument__in=instruments).for_lists()
        confirmed = music.filter(order_confirmed=True)
        # Scale sheets are what is set by the dozen.
        ordered = confirmed.order_by("instrument", "-kind", "title", "pk")
        cast(forms.ModelMultipleChoiceField, self.fields["excerpts"]).queryset = ordered
        self.unconfirmed = music.count() - confirmed.count()
        cast(forms.ModelChoiceField, self.fields["rubric"]).queryset = Rubric.objects.current()
        self.fields["due_at"].help_text = moment_help()
        self.fields["due_at"].validators.append(check_year)
        self._offer_last_values()

    def _offer_last_values(self) -> None:
        """What the last requirement of this audition said, or of any where this has none yet."""
        last = self.audition.requirements.order_by("-pk").first()
        self.initial["due_at"] = last.due_at if last else usual_deadline(self.audition)
        last = last or Requirement.objects.order_by("-pk").first()
        if last:
            self.initial["levels"] = last.level
            self.initial["rubric"] = last.rubric_id
            self.initial["played"] = PRINTED if last.with_repeats else LAST_ENDINGS

    def clean_levels(self) -> list[str]:
        typed = (settle_level(part) for part in self.cleaned_data["levels"].split(","))
        levels = list(dict.fromkeys(level for level in typed if level))
        longest = Requirement._meta.get_field("level").max_length or 0
        if not levels:
            raise forms.ValidationError(_("Name at least one level."))
        if any(len(level) > longest for level in levels):
            words = _("One level is longer than %(count)d characters.")
            raise forms.ValidationError(words % {"count": longest})
        return levels

    def clean_due_at(self):
        due_at = self.cleaned_data["due_at"]
        if due_at > self.audition.closes_at:
            raise forms.ValidationError(
                _("The internal deadline must not be later than the audition's closing time.")
            )
        return due_at

    def clean(self) -> dict:
        super().clean()
        data = self.cleaned_data
        if len(data.get("excerpts", ())) * len(data.get("levels", ())) > MOST_AT_ONCE:
            words = _("At most %(count)d requirements at once; please do it in two steps.")
            self.add_error("excerpts", words % {"count": MOST_AT_ONCE})
        if data.get("due_at"):
            self.ask_about_deadline(data["due_at"], self.audition)
        return data

    def keep(self) -> tuple[int, int]:
        """Make them all or none; how many are new, and how many were there already."""
        wanted = [
            (excerpt, level)
            for excerpt in self.cleaned_data["excerpts"]
            for level in self.cleaned_data["levels"]
        ]
        with transaction.atomic():
            # Two clicks at once must not double them.
            Audition.objects.select_for_update().get(pk=self.audition.pk)
            there = set(self._of_whole_pieces().values_list("excerpt_id", "level"))
            new = [self._made(*one) for one in wanted if (one[0].pk, one[1]) not in there]
            Requirement.objects.bulk_create(new)
        return len(new), len(wanted) - len(new)

    def _of_whole_pieces(self) -> QuerySet[Requirement]:
        return self.audition.requirements.filter(from_bar="", to_bar="", order_line="")

    def _made(self, excerpt: Excerpt, level: str) -> Requirement:
        data = self.cleaned_data
        return Requirement(
            audition=self.audition,
            instrument=excerpt.instrument,
            level=level,
            excerpt=excerpt,
            rubric=data["rubric"],
            marked_bpm=excerpt.marked_bpm,
            low_bpm=accepted_bound(excerpt.marked_bpm, SLOWEST),
            high_bpm=accepted_bound(excerpt.marked_bpm, FASTEST),
            with_repeats=data["played"] == PRINTED,
            due_at=data["due_at"],
        )
