"""Who comes to a clinic: from then on its leader reads what that student asks about the music."""

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _


class ClinicAcceptance(models.Model):
    """One student's yes to one clinic. Without `may_be_named` the leader reads questions without the name."""

    clinic = models.ForeignKey("studio.Clinic", on_delete=models.CASCADE, related_name="acceptances")
    student = models.ForeignKey("studio.Student", on_delete=models.CASCADE, related_name="acceptances")
    accepted_at = models.DateTimeField(default=timezone.now, editable=False)
    accepted_by = models.ForeignKey(
        "studio.User", null=True, editable=False, on_delete=models.SET_NULL, related_name="+"
    )
    may_be_named = models.BooleanField(_("The leader may see the name beside a question"), default=False)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["clinic", "student"], name="one_acceptance_a_student")]

    def __str__(self) -> str:
        return f"acceptance {self.pk}"
