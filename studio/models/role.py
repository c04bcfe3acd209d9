"""The roles there are, and who holds which."""

from django.db import models
from django.utils.translation import gettext_lazy as _


class Role(models.TextChoices):
    DIRECTOR = "director", _("Director")
    TEACHER = "teacher", _("Teacher")
    STUDENT = "student", _("Student")
    GUARDIAN = "guardian", _("Guardian")
    GUEST = "guest", _("Guest listener")


class RoleGrant(models.Model):
    user = models.ForeignKey("studio.User", on_delete=models.CASCADE, related_name="roles")
    role = models.CharField(max_length=10, choices=Role.choices)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["user", "role"], name="one_grant_per_role")]

    def __str__(self) -> str:
        return self.get_role_display()
