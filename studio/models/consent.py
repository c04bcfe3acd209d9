"""A guardian's agreement to a child's recordings."""

from django.db import models
from django.utils import timezone

from studio.models.user import User


class ConsentQuerySet(models.QuerySet["Consent"]):
    def standing_for_panels(self) -> "ConsentQuerySet":
        """Not withdrawn, and given for the listeners of mock auditions too."""
        return self.filter(withdrawn_at=None, for_panels=True)


class Consent(models.Model):
    """A guardian's agreement that this student may record and upload; kept when withdrawn."""

    student = models.ForeignKey("studio.Student", on_delete=models.CASCADE, related_name="consents")
    given_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="consents_given")
    given_at = models.DateTimeField(default=timezone.now)
    wording = models.TextField()
    # Whether the listeners of a mock audition may hear the takes too, which the words above say then.
    for_panels = models.BooleanField(default=False)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    objects = ConsentQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["student"], condition=models.Q(withdrawn_at=None), name="one_standing_consent"
            )
        ]

    def __str__(self) -> str:
        return f"consent {self.pk}"

    def withdraw(self) -> None:
        self.withdrawn_at = timezone.now()
        self.save(update_fields=["withdrawn_at"])
