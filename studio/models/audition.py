"""An audition of an outside body, with its closing time."""

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repertoire.notation.instruments import INSTRUMENTS
from studio.models.season import Season


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
