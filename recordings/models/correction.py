"""What a teacher has set right in the measurement of a take: added, never changed; the last one holds."""

from django.conf import settings
from django.db import models
from django.utils import timezone


class CorrectionQuerySet(models.QuerySet["Correction"]):
    def in_force(self, take_id: int) -> "Correction | None":
        """What holds for this take now, also when it takes everything back; None where nothing was said."""
        return self.filter(take=take_id).select_related("by").order_by("-edition").first()


class Correction(models.Model):
    take = models.ForeignKey("recordings.Take", on_delete=models.CASCADE, related_name="corrections")
    # Counts what was said of this take, so that two windows cannot both speak after the same word.
    edition = models.PositiveIntegerField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    # The music it speaks of, by its hash: another music may give its ids to other bars and notes.
    score_hash = models.CharField(max_length=64)
    begins_s = models.FloatField(null=True, blank=True)
    ends_s = models.FloatField(null=True, blank=True)
    # The bars as they were played, as a line of printed labels; empty where the measuring finds out.
    order_line = models.TextField(blank=True)
    # {"measure_id", "bar", "pass", "time_s"} a bar line, {"note_id", "bar", "pass"} a note.
    bar_lines = models.JSONField(default=list, blank=True)
    right_notes = models.JSONField(default=list, blank=True)

    objects = CorrectionQuerySet.as_manager()

    class Meta:
        ordering = ["take", "edition"]
        constraints = [
            models.UniqueConstraint(fields=["take", "edition"], name="one_correction_an_edition"),
        ]

    def __str__(self) -> str:
        return f"correction {self.pk}"

    @property
    def is_empty(self) -> bool:
        """Whether it takes back what was said before."""
        limits = self.begins_s is not None or self.ends_s is not None
        return not (limits or self.order_line or self.bar_lines or self.right_notes)
