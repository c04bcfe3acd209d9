"""What somebody signed, or has heard, of the takes that are sent: it holds for these recordings alone."""

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from studio.models import Entry


class Statement(models.Model):
    class Kind(models.TextChoices):
        STUDENT = "student", _("signed by the student")
        GUARDIAN = "guardian", _("signed by a guardian")
        HEARD = "heard", _("heard")

    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="statements")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    wording = models.TextField()
    # Hashes of the recordings it is about, sorted.
    recordings = models.JSONField(default=list)
    signed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="statements"
    )
    signed_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["signed_at", "pk"]

    def __str__(self) -> str:
        return f"statement {self.pk}"
