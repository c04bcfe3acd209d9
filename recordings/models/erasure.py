"""That everything of a student was deleted: a receipt in numbers, and what has still to go."""

from django.db import models
from django.utils import timezone


class Erasure(models.Model):
    """It names nobody: `student_number` and `by_number` are those of rows, the former no longer there."""

    student_number = models.BigIntegerField(db_index=True)
    by_number = models.BigIntegerField()
    erased_at = models.DateTimeField(default=timezone.now, editable=False)
    # How many of each kind of thing there were.
    counts = models.JSONField(default=dict)
    # Names in the storage that are deleted after the rows: what a killed process leaves, the sweep deletes.
    files = models.JSONField(default=list)
    # Empty until the files are gone and the database has overwritten what it freed.
    finished_at = models.DateTimeField(null=True)
    # Until when copies may lie in backups; empty where the studio had not said how long it keeps them.
    in_backups_until = models.DateField(null=True)

    class Meta:
        ordering = ["-erased_at", "-pk"]

    def __str__(self) -> str:
        return f"erasure {self.pk}"
