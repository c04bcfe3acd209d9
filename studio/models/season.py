"""A season: the time in which auditions are prepared."""

from datetime import date, timedelta

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _


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
