"""Until when a guardian agreed that takes of a season are kept: a promise that no later setting stretches."""

from django.db import models


class AgreedKeeping(models.Model):
    """The day that stood in the agreement's own words; kept when the agreement is withdrawn or given anew."""

    consent = models.ForeignKey("studio.Consent", on_delete=models.CASCADE, related_name="keepings")
    season = models.ForeignKey("studio.Season", on_delete=models.CASCADE, related_name="keepings")
    until = models.DateField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["consent", "season"], name="one_day_a_season_and_agreement")
        ]

    def __str__(self) -> str:
        return f"keeping {self.pk}"
