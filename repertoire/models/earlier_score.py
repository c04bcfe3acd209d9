"""The music as it was printed here before a corrected score replaced it."""

from django.conf import settings
from django.db import models
from django.utils import timezone

from repertoire.models.excerpt import Excerpt


class EarlierScore(models.Model):
    """Kept because takes were measured against it: their notes and bars are found in it by id."""

    excerpt = models.ForeignKey(Excerpt, on_delete=models.CASCADE, related_name="earlier_scores")
    musicxml = models.TextField()
    content_hash = models.CharField(max_length=64)
    replaced_at = models.DateTimeField(default=timezone.now)
    replaced_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )

    class Meta:
        ordering = ["replaced_at", "pk"]
        indexes = [models.Index(fields=["excerpt", "replaced_at"])]

    def __str__(self) -> str:
        return f"earlier score {self.pk}"
