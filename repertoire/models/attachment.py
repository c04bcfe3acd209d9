"""A PDF or a photo of the printed page, to look at beside the engraving; nothing is read from it."""

from django.conf import settings
from django.db import models
from django.db.models.signals import post_delete
from django.dispatch import receiver
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repertoire.models.common import RandomNameFileField, delete_for_good
from repertoire.models.excerpt import Excerpt


class Attachment(models.Model):
    class Kind(models.TextChoices):
        PDF = "application/pdf", _("PDF")
        JPEG = "image/jpeg", _("photo")
        PNG = "image/png", _("picture")

    excerpt = models.ForeignKey(Excerpt, on_delete=models.CASCADE, related_name="attachments")
    file = RandomNameFileField(upload_to="pages/%Y/%m/")
    kind = models.CharField(max_length=20, choices=Kind.choices)
    size = models.PositiveIntegerField()
    width_px = models.PositiveIntegerField(default=0)
    height_px = models.PositiveIntegerField(default=0)
    added_at = models.DateTimeField(default=timezone.now)
    added_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+"
    )

    class Meta:
        ordering = ["added_at", "pk"]

    def __str__(self) -> str:
        return f"page {self.pk}"

    @property
    def is_picture(self) -> bool:
        return self.kind != self.Kind.PDF


@receiver(post_delete, sender=Attachment, dispatch_uid="repertoire.delete_page")
def delete_page(sender, instance: Attachment, **_kwargs) -> None:
    """Also where the music itself is removed: no bytes stay behind without a row."""
    delete_for_good(instance.file)
