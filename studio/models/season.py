"""Seasons, auditions, what must be played and who is entered."""

from datetime import date, timedelta

from django.core.exceptions import ValidationError
from django.core.validators import MinValueValidator
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repertoire.models import Excerpt, InstrumentField, Rubric
from repertoire.notation.instruments import INSTRUMENTS
from repertoire.notation.order.forms import order_to_play
from repertoire.notation.order.order_line import parse_order, print_order
from repertoire.notation.score import BadScore, Form
from studio.models.people import Student


class SeasonQuerySet(models.QuerySet["Season"]):
    def running(self, at=None) -> "SeasonQuerySet":
        day = timezone.localdate(at) if at else timezone.localdate()
        return self.filter(starts_on__lte=day, ends_on__gte=day)


class Season(models.Model):
    name = models.CharField(_("name"), max_length=120)
    starts_on = models.DateField(_("starts on"))
    ends_on = models.DateField(_("ends on"))
    keep_takes_days = models.PositiveIntegerField(
        _("keep takes for this many days after the season"), default=180
    )

    objects = SeasonQuerySet.as_manager()

    class Meta:
        ordering = ["-starts_on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(ends_on__gte=models.F("starts_on")),
                name="season_ends_after_it_starts",
                violation_error_message=_("The season must end on or after the day it starts."),
            )
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def keep_takes_until(self) -> date:
        return self.ends_on + timedelta(days=self.keep_takes_days)


class Audition(models.Model):
    class Kind(models.TextChoices):
        RECORDED = "recorded", _("Recorded")
        LIVE = "live", _("Live")

    season = models.ForeignKey(Season, on_delete=models.CASCADE, related_name="auditions")
    name = models.CharField(_("name"), max_length=160)
    kind = models.CharField(_("recorded or live"), max_length=10, choices=Kind.choices, default=Kind.RECORDED)
    held_on = models.DateField(_("date"))
    closes_at = models.DateTimeField(_("closing time"))
    notes = models.TextField(_("notes"), blank=True)

    class Meta:
        ordering = ["closes_at", "pk"]

    def __str__(self) -> str:
        return self.name

    def groups_without_music(self) -> list[str]:
        """Instrument and level of entries that no requirement of this audition is for."""
        entered = self.entries.order_by().values_list("instrument", "level")
        asked = self.requirements.order_by().values_list("instrument", "level")
        return [f"{INSTRUMENTS[key].name}, {level}" for key, level in sorted(entered.difference(asked))]

    def is_closed(self, at=None) -> bool:
        return (at or timezone.now()) > self.closes_at


class RequirementQuerySet(models.QuerySet["Requirement"]):
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
            raise ValidationError({"to_bar": str(error)}) from error
        try:
            parse_order(self.excerpt.score, self.order_line) if self.order_line else None
        except BadScore as error:
            raise ValidationError({"order_line": str(error)}) from error

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


class EntryQuerySet(models.QuerySet["Entry"]):
    def visible_to(self, user) -> "EntryQuerySet":
        return self.filter(student__in=Student.objects.visible_to(user))


class Entry(models.Model):
    """One student entered for one audition on one instrument.

    It carries all requirements of that instrument and level.
    """

    student = models.ForeignKey(Student, on_delete=models.CASCADE, related_name="entries")
    audition = models.ForeignKey(Audition, on_delete=models.CASCADE, related_name="entries")
    instrument = InstrumentField(_("instrument"))
    level = models.CharField(_("level"), max_length=40)

    objects = EntryQuerySet.as_manager()

    class Meta:
        ordering = ["audition__closes_at", "student__name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["student", "audition", "instrument"], name="one_entry_per_student_and_audition"
            )
        ]
        verbose_name_plural = "entries"

    def __str__(self) -> str:
        return f"entry {self.pk}"

    @property
    def requirements(self) -> RequirementQuerySet:
        return Requirement.objects.for_entry(self)
