"""One caption's mark; the suggested range is the draft's, the value the teacher's."""

from django.db import models

from recordings.models.review import Review
from repertoire.models import Caption
from studio.models.telling import TellingQuerySet


class MarkQuerySet(TellingQuerySet):
    told = frozenset({"value"})


class Mark(models.Model):
    review = models.ForeignKey(Review, on_delete=models.CASCADE, related_name="marks")
    caption = models.ForeignKey(Caption, on_delete=models.PROTECT, related_name="marks")
    value = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    suggested_low = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    suggested_high = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    # A sentence as code and arguments; a text where an earlier version wrote it.
    evidence = models.JSONField(default=str, blank=True)

    objects = MarkQuerySet.as_manager()

    class Meta:
        ordering = ["caption__position", "caption_id"]
        constraints = [models.UniqueConstraint(fields=["review", "caption"], name="one_mark_per_caption")]

    def __str__(self) -> str:
        return f"mark {self.pk}"

    @property
    def share_percent(self) -> float:
        """How far up its own scale the mark stands, from 0 to 100."""
        span = self.caption.high - self.caption.low
        if self.value is None or not span:
            return 0.0
        return float(100 * (self.value - self.caption.low) / span)
