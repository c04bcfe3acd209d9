"""What an audition asks of an instrument and level: music, bars, tempo, marking form."""

from typing import TYPE_CHECKING

from django.core.exceptions import ValidationError
from django.core.validators import MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from repertoire.models import Excerpt, InstrumentField, Rubric
from repertoire.notation.order.forms import order_to_play
from repertoire.notation.order.order_line import parse_order, print_order
from repertoire.notation.score import BadScore, Form
from repertoire.wording.words import words
from studio.models.audition import Audition
from studio.models.telling import TellingQuerySet

if TYPE_CHECKING:
    from studio.models.entry import Entry


class RequirementQuerySet(TellingQuerySet):
    told = frozenset({"audition", "instrument", "level", "low_bpm", "high_bpm"})

    def for_entry(self, entry: "Entry") -> "RequirementQuerySet":
        return self.filter(audition=entry.audition_id, instrument=entry.instrument, level=entry.level)


class Requirement(models.Model):
    """One thing to play for an audition, for one instrument and level."""

    audition = models.ForeignKey(Audition, on_delete=models.CASCADE, related_name="requirements")
    instrument = InstrumentField(_("instrument"))
    level = models.CharField(_("level"), max_length=40)
    excerpt = models.ForeignKey(
        Excerpt, on_delete=models.PROTECT, related_name="requirements", verbose_name=_("music")
    )
    rubric = models.ForeignKey(
        Rubric, on_delete=models.PROTECT, related_name="requirements", verbose_name=_("marking form")
    )
    marked_bpm = models.DecimalField(
        _("marked tempo"), max_digits=5, decimal_places=1, validators=[MinValueValidator(10)]
    )
    low_bpm = models.DecimalField(
        _("accepted from"), max_digits=5, decimal_places=1, validators=[MinValueValidator(10)]
    )
    high_bpm = models.DecimalField(
        _("accepted to"), max_digits=5, decimal_places=1, validators=[MinValueValidator(10)]
    )
    with_repeats = models.BooleanField(_("with repeats"), default=True)
    from_bar = models.CharField(_("from bar"), max_length=10, blank=True)
    to_bar = models.CharField(_("to bar"), max_length=10, blank=True)
    order_line = models.TextField(_("order of play as a line"), blank=True, default="")
    may_be_stopped = models.BooleanField(_("the judges may stop the student anywhere"), default=False)
    due_at = models.DateTimeField(_("internal deadline"))

    objects = RequirementQuerySet.as_manager()

    class Meta:
        ordering = ["due_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(low_bpm__lte=models.F("marked_bpm"))
                & models.Q(high_bpm__gte=models.F("marked_bpm")),
                name="marked_tempo_inside_range",
                violation_error_message=_("The marked tempo must lie inside the accepted range."),
            ),
        ]

    def __str__(self) -> str:
        return self.excerpt.title

    def clean(self) -> None:
        if bool(self.from_bar) != bool(self.to_bar):
            raise ValidationError({"to_bar": _("Give both bars, or leave both empty for the whole piece.")})
        if self.excerpt_id:
            self._check_bars_are_printed()
        if self.due_at and self.audition_id and self.due_at > self.audition.closes_at:
            raise ValidationError(
                {"due_at": _("The internal deadline must not be later than the audition's closing time.")}
            )

    def _check_bars_are_printed(self) -> None:
        try:
            self.excerpt.form(bars=self.bars)
        except BadScore as error:
            raise ValidationError({"to_bar": words(error.sentence)}) from error
        try:
            parse_order(self.excerpt.score, self.order_line) if self.order_line else None
        except BadScore as error:
            raise ValidationError({"order_line": words(error.sentence)}) from error

    def is_for(self, entry: "Entry") -> bool:
        """Whether this entry carries it."""
        return (self.audition_id, self.instrument, self.level) == (
            entry.audition_id,
            entry.instrument,
            entry.level,
        )

    @property
    def bars(self) -> tuple[str, str] | None:
        return (self.from_bar, self.to_bar) if self.from_bar else None

    @property
    def order(self) -> tuple[int, ...]:
        """Measure indexes as they are to be played; raises `BadScore` where the score has lost a bar."""
        score = self.excerpt.score
        if self.order_line:
            return parse_order(score, self.order_line)
        return order_to_play(score, with_repeats=self.with_repeats, bars=self.bars)

    @property
    def order_text(self) -> str:
        return print_order(self.excerpt.score, self.order)

    @property
    def form(self) -> Form:
        return self.excerpt.form(order=self.order)

    @property
    def beat_unit_q(self) -> float:
        return self.excerpt.beat_unit_q
