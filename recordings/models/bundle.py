"""The files made of an entry's takes to be sent, in one zip."""

from django.conf import settings
from django.db import models

from recordings.models.file_job import FileJob
from repertoire.models import RandomNameFileField
from studio.models import Entry


class Bundle(FileJob):
    entry = models.OneToOneField(Entry, on_delete=models.CASCADE, related_name="bundle")
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="bundles"
    )
    file = RandomNameFileField(upload_to="bundles/%Y/%m/", blank=True)
    # What lies in it, in order: name, music, take, recording, how, was, sha256, size, duration_s.
    contents = models.JSONField(default=list, blank=True)

    def __str__(self) -> str:
        return f"bundle {self.pk}"
