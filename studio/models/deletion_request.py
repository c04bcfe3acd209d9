"""A guardian, or a student of age, asks that everything of the student is deleted."""

from datetime import date, timedelta

from django.db import models
from django.utils import timezone

from studio.models.student import Student
from studio.models.user import User

# The law asks for an answer within a month (Regulation (EU) 2016/679, Art. 12(3)); 28 days is within any.
ANSWERED_WITHIN = timedelta(days=28)


class DeletionRequestQuerySet(models.QuerySet["DeletionRequest"]):
    def open(self) -> "DeletionRequestQuerySet":
        return self.filter(taken_back_at=None, declined_at=None)


class DeletionRequest(models.Model):
    """Open until it is taken back, declined with a reason, or done: then it goes with the student."""

    student = models.ForeignKey(Student, on_delete=models.CASCADE, related_name="deletion_requests")
    asked_by = models.ForeignKey(
        User, null=True, on_delete=models.SET_NULL, related_name="deletions_asked_for"
    )
    asked_at = models.DateTimeField(default=timezone.now)
    taken_back_at = models.DateTimeField(null=True)
    declined_at = models.DateTimeField(null=True)
    reason = models.TextField(blank=True, max_length=2000)

    objects = DeletionRequestQuerySet.as_manager()

    class Meta:
        ordering = ["-asked_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["student"],
                condition=models.Q(taken_back_at=None, declined_at=None),
                name="one_open_deletion_request",
            )
        ]

    def __str__(self) -> str:
        return f"deletion request {self.pk}"

    @property
    def due_on(self) -> date:
        return timezone.localdate(self.asked_at + ANSWERED_WITHIN)
