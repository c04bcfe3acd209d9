"""The take a person has chosen to be sent for a requirement; without a row the best answered one is."""

from django.conf import settings
from django.db import models
from django.utils import timezone

from recordings.models.take import Take
from studio.models import Entry, Requirement


class TakeToSend(models.Model):
    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="takes_to_send")
    requirement = models.ForeignKey(Requirement, on_delete=models.CASCADE, related_name="takes_to_send")
    # Of another requirement where one recording stands for everything.
    take = models.ForeignKey(Take, on_delete=models.CASCADE, related_name="chosen_for")
    chosen_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="takes_chosen_to_send"
    )
    chosen_at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["entry", "requirement"], name="one_take_to_send_per_requirement")
        ]

    def __str__(self) -> str:
        return f"take to send {self.pk}"
