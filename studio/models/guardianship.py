"""Who is a guardian of whom."""

from django.db import models

from studio.models.user import User


class Guardianship(models.Model):
    guardian = models.ForeignKey(User, on_delete=models.CASCADE, related_name="guardianships")
    student = models.ForeignKey("studio.Student", on_delete=models.CASCADE, related_name="guardianships")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["guardian", "student"], name="one_guardianship")]

    def __str__(self) -> str:
        return f"{self.guardian_id} for {self.student_id}"
