"""A teacher away for a stated time hands all their students to a colleague; it ends by itself."""

from datetime import date

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _


class HandoverQuerySet(models.QuerySet["Handover"]):
    def standing(self, on: date | None = None) -> "HandoverQuerySet":
        """Those that hold on this day of the studio's calendar, today where none is given."""
        day = on or timezone.localdate()
        return self.filter(from_day__lte=day, until_day__gte=day, ended_at=None)

    def visible_to(self, user) -> "HandoverQuerySet":
        """Every one for a director, for a teacher those given and taken."""
        if user.is_director:
            return self
        return self.filter(models.Q(teacher=user) | models.Q(colleague=user))


class Handover(models.Model):
    teacher = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        related_name="handovers_given",
        verbose_name=_("who is away"),
    )
    colleague = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        related_name="handovers_taken",
        verbose_name=_("who hears the takes"),
    )
    from_day = models.DateField(_("from"))
    until_day = models.DateField(_("until, that day included"))
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+", editable=False
    )
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    # When somebody ended it before its time.
    ended_at = models.DateTimeField(null=True, editable=False)

    objects = HandoverQuerySet.as_manager()

    class Meta:
        ordering = ["-until_day", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(until_day__gte=models.F("from_day")), name="handover_ends_after_it_begins"
            ),
            models.CheckConstraint(
                condition=~models.Q(teacher=models.F("colleague")), name="handover_to_somebody_else"
            ),
        ]

    def __str__(self) -> str:
        return f"handover {self.pk}"

    def clean(self) -> None:
        if self.from_day and self.until_day and self.until_day < self.from_day:
            raise ValidationError({"until_day": _("The last day must not lie before the first.")})
        if self.teacher_id and self.teacher_id == self.colleague_id:
            raise ValidationError({"colleague": _("Please choose somebody else than who is away.")})

    def validate_constraints(self, exclude=None) -> None:
        """Both are told beside their field by `clean`."""

    @property
    def is_over(self) -> bool:
        return self.ended_at is not None or self.until_day < timezone.localdate()

    @property
    def stands(self) -> bool:
        return not self.is_over and self.from_day <= timezone.localdate()

    def may_be_ended_by(self, user) -> bool:
        """Who is away, and any director; who stands in may not lay it down unseen."""
        return user.is_director or self.teacher_id == user.pk

    def end(self) -> bool:
        """End it now; False where it is over already."""
        rows = Handover.objects.filter(pk=self.pk, ended_at=None, until_day__gte=timezone.localdate())
        return bool(rows.update(ended_at=timezone.now()))
