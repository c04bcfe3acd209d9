"""What happened to a review, with the state it was in; never changed afterwards."""

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from recordings.models.review import Review


class ReviewEvent(models.Model):
    class Kind(models.TextChoices):
        DRAFTED = "drafted", _("drafted from the measurement")
        RELEASED = "released", _("released")
        WITHDRAWN = "withdrawn", _("withdrawn")

    review = models.ForeignKey(Review, on_delete=models.CASCADE, related_name="events")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    snapshot = models.JSONField(default=dict)

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"event {self.pk}"
