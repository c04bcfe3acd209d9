"""That an entry was sent: by whom, when, what, and what the body answered; kept when it is taken back."""

from django.conf import settings
from django.db import models
from django.utils import timezone

from studio.models import Entry


class DispatchQuerySet(models.QuerySet["Dispatch"]):
    def standing(self) -> "DispatchQuerySet":
        return self.filter(taken_back_at=None)


class Dispatch(models.Model):
    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="dispatches")
    sent_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="dispatches"
    )
    sent_at = models.DateTimeField(default=timezone.now)
    confirmation = models.TextField(blank=True)
    # The files with their checksums as the bundle held them, and the sentences of rules not kept or open.
    contents = models.JSONField(default=list)
    open_points = models.JSONField(default=list)
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="dispatches_taken_back"
    )

    objects = DispatchQuerySet.as_manager()

    class Meta:
        ordering = ["sent_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["entry"], condition=models.Q(taken_back_at=None), name="one_standing_dispatch"
            )
        ]
        verbose_name_plural = "dispatches"

    def __str__(self) -> str:
        return f"dispatch {self.pk}"
