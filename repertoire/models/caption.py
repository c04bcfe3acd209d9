"""One thing judges mark, with its range, steps and levels in words."""

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.core.validators import MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from repertoire.models.common import is_held
from repertoire.wording.words import short_number

LONGEST_LEVEL = 12  # characters before the colon: "9-10", "4.5-5"


class Caption(models.Model):
    class Measured(models.TextChoices):
        NONE = "", _("for the ear")
        INTONATION = "intonation", _("intonation")
        RHYTHM = "rhythm", _("rhythm")
        TEMPO = "tempo", _("tempo")
        ACCURACY = "accuracy", _("accuracy of notes")

    rubric = models.ForeignKey("repertoire.Rubric", on_delete=models.CASCADE, related_name="captions")
    position = models.PositiveSmallIntegerField(default=0)
    name = models.CharField(_("caption"), max_length=80)
    low = models.DecimalField(_("lowest mark"), max_digits=5, decimal_places=1, default=1)
    high = models.DecimalField(_("highest mark"), max_digits=5, decimal_places=1, default=10)
    step = models.DecimalField(
        _("step"), max_digits=4, decimal_places=1, default=1, validators=[MinValueValidator(Decimal("0.1"))]
    )
    weight = models.DecimalField(
        _("weight"), max_digits=4, decimal_places=1, default=1, validators=[MinValueValidator(Decimal("0.1"))]
    )
    measured = models.CharField(
        _("what can be measured"), max_length=12, choices=Measured.choices, blank=True, default=""
    )
    descriptors = models.TextField(
        _("descriptors"),
        blank=True,
        help_text=_(
            "What the marks stand for, a line for each level, such as 9-10: clear in every register."
        ),
    )
    decides = models.PositiveSmallIntegerField(
        _("decides ties"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1)],
        help_text=_("1 is compared first."),
    )

    class Meta:
        ordering = ["rubric", "position", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(high__gt=models.F("low")),
                name="caption_range_goes_up",
                violation_error_message=_("The highest mark must be above the lowest."),
            )
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_in_use(self) -> bool:
        """Whether a mark rests on it."""
        return is_held(self)

    def is_marked_like(self, other: "Caption") -> bool:
        """Whether a suggestion for the other caption holds for this one."""
        return (self.low, self.high, self.step) == (other.low, other.high, other.step) and (
            self.measured == other.measured if self.measured else self.name == other.name
        )

    def check_mark(self, mark) -> None:
        """Raise ValidationError where `mark` lies outside the range or between two steps."""
        if not self.low <= mark <= self.high:
            raise ValidationError(
                _("%(caption)s goes from %(low)s to %(high)s.")
                % {"caption": self.name, "low": short_number(self.low), "high": short_number(self.high)}
            )
        if (mark - self.low) % self.step:
            raise ValidationError(
                _("%(caption)s is marked in steps of %(step)s.")
                % {"caption": self.name, "step": short_number(self.step)}
            )

    @property
    def levels(self) -> list[tuple[str, str]]:
        """The descriptors line by line: the marks, and what they stand for; marks may be empty."""
        lines = [line.partition(":") for line in self.descriptors.splitlines() if line.strip()]
        return [
            (marks.strip(), words.strip())
            if words and len(marks) <= LONGEST_LEVEL
            else ("", marks + colon + words)
            for marks, colon, words in lines
        ]
