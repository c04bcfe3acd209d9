"""Everything the studio keeps of one student in one zip, for the student, the guardians and the directors."""

from datetime import timedelta

from django.conf import settings
from django.db import models

from recordings.models.file_job import FileJob
from repertoire.models import RandomNameFileField
from studio.models import Student
from studio.models.database_clock import from_now

# Time to fetch it on another day, and no longer: it holds every sound a second time. A choice.
KEPT_FOR = timedelta(days=7)


class OwnCopyQuerySet(models.QuerySet["OwnCopy"]):
    def expired(self) -> "OwnCopyQuerySet":
        return self.filter(made_at__lt=from_now(-KEPT_FOR))


class OwnCopy(FileJob):
    student = models.OneToOneField(Student, on_delete=models.CASCADE, related_name="own_copy")
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="own_copies"
    )
    file = RandomNameFileField(upload_to="copies/%Y/%m/", blank=True)
    # Of whoever asked, so that the texts in it are in their language.
    language = models.CharField(max_length=10, blank=True)

    objects = OwnCopyQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "own copies"

    def __str__(self) -> str:
        return f"own copy {self.pk}"

    @property
    def kept_until(self):
        """None while it is not made."""
        return self.made_at + KEPT_FOR if self.made_at else None
