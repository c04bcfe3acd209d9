"""A marking form: what judges mark on, in versions."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.db import models
from django.utils.translation import gettext_lazy as _

from repertoire.models.caption import Caption


@dataclass(frozen=True, slots=True)
class Total:
    """Marks times their weights, added up, and what that could come to at most."""

    value: Decimal
    out_of: Decimal


class RubricQuerySet(models.QuerySet["Rubric"]):
    def current(self) -> "RubricQuerySet":
        """Without earlier versions of forms that were changed after marks rested on them."""
        return self.filter(replaced_by=None)


class Rubric(models.Model):
    """The form judges mark on.

    Once a mark rests on a form its captions stay as they are; a change to them makes a new version.
    """

    class Serves(models.TextChoices):
        ETUDE = "etude", _("Etudes and passages")
        SCALE = "scale", _("Scale sheets")
        BOTH = "both", _("Etudes, passages and scale sheets")

    name = models.CharField(_("name"), max_length=120)
    serves = models.CharField(_("used for"), max_length=10, choices=Serves.choices, default=Serves.ETUDE)
    notes = models.TextField(_("notes"), blank=True)
    total_shown = models.BooleanField(
        _("students see the total"),
        default=False,
        help_text=_("The weighted total stands beside the marks of a released review."),
    )
    version = models.PositiveSmallIntegerField(default=1, editable=False)
    replaces = models.OneToOneField(
        "self", null=True, editable=False, on_delete=models.SET_NULL, related_name="replaced_by"
    )

    objects = RubricQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name

    @property
    def newer(self) -> "Rubric | None":
        """The version after this one."""
        return Rubric.objects.filter(replaces=self).first()

    @property
    def is_marked(self) -> bool:
        return any(caption.is_in_use for caption in self.captions.all())

    def next_version(self, captions: "Iterable[Caption]") -> "Rubric":
        """A new version with these captions; everything that asks for this form asks for it from now on."""
        following = Rubric.objects.create(
            name=self.name,
            serves=self.serves,
            notes=self.notes,
            total_shown=self.total_shown,
            version=self.version + 1,
            replaces=self,
        )
        for caption in captions:
            caption.pk, caption.rubric, caption._state.adding = None, following, True
        Caption.objects.bulk_create(captions)
        self.requirements.update(rubric=following)
        return following

    def total(self, marks: dict[int, Decimal | None]) -> Total | None:
        """The weighted total of marks by caption id; None while one of them is missing."""
        captions = list(self.captions.all())
        values = [value for caption in captions if (value := marks.get(caption.pk)) is not None]
        if not captions or len(values) < len(captions):
            return None
        nothing = Decimal(0)
        return Total(
            sum((caption.weight * value for caption, value in zip(captions, values, strict=True)), nothing),
            sum((caption.weight * caption.high for caption in captions), nothing),
        )

    @property
    def deciding_captions(self) -> "list[Caption]":
        """Where two totals are equal, these are compared one after the other."""
        return sorted(
            (caption for caption in self.captions.all() if caption.decides),
            key=lambda caption: caption.decides or 0,
        )
