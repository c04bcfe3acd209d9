"""A recording on its way in, piece by piece, over minutes or days, until it is whole and becomes a take.

It belongs to the person who began it, for one requirement of one entry. Its size and hash are said at the
beginning, so what is handed in was fixed then, however long the way takes.
"""

import uuid
from datetime import datetime, timedelta

from django.conf import settings
from django.db import models
from django.utils import timezone

from recordings.models.take import Take
from repertoire.models import RandomNameFileField
from studio.models import Entry, Requirement

# Choices, no published source: a week of bad network, and a night in which a phone ran empty.
LIFETIME = timedelta(days=7)
GRACE = timedelta(hours=12)


class UploadQuerySet(models.QuerySet["Upload"]):
    def unfinished(self, at: datetime | None = None) -> "UploadQuerySet":
        """Those that can still be gone on with."""
        return self.filter(take=None, begun_at__gt=(at or timezone.now()) - LIFETIME)

    def of(self, person) -> "UploadQuerySet":
        """With what a line about them names."""
        mine = self.filter(person=person).select_related("requirement__excerpt")
        return mine.only("original_name", "begun_at", "offset", "size", "requirement__excerpt__title")

    def expired(self, at: datetime | None = None) -> "UploadQuerySet":
        return self.filter(begun_at__lte=(at or timezone.now()) - LIFETIME)

    def bytes_to_come(self) -> int:
        return self.aggregate(left=models.Sum(models.F("size") - models.F("offset")))["left"] or 0


class Upload(models.Model):
    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="uploads")
    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="uploads")
    requirement = models.ForeignKey(Requirement, on_delete=models.CASCADE, related_name="uploads")
    size = models.BigIntegerField()
    sha256 = models.CharField(max_length=64)
    # What the browser said of the file, as it said it: the protocol wants it back.
    metadata = models.TextField(blank=True)
    original_name = models.CharField(max_length=200, blank=True)
    offset = models.BigIntegerField(default=0)
    begun_at = models.DateTimeField(default=timezone.now, db_index=True)
    # Kept after the last piece, so that an answer lost on its way can be asked for again.
    take = models.ForeignKey(Take, null=True, on_delete=models.CASCADE, related_name="uploads")

    objects = UploadQuerySet.as_manager()

    class Meta:
        ordering = ["begun_at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(offset__gte=0, offset__lte=models.F("size")), name="upload_within_its_size"
            )
        ]

    def __str__(self) -> str:
        return f"upload {self.pk}"

    @property
    def expires_at(self) -> datetime:
        return self.begun_at + LIFETIME

    @property
    def percent(self) -> int:
        return self.offset * 100 // self.size

    @property
    def is_whole(self) -> bool:
        return self.offset == self.size

    def is_expired(self, at: datetime | None = None) -> bool:
        return (at or timezone.now()) >= self.expires_at

    def counts_at(self, at: datetime | None = None) -> datetime:
        """When it counts as handed in: now, or at its beginning where the audition closed on its way.

        Nobody gains by it: with the hash said at the beginning, nothing recorded later can arrive.
        """
        at, closes_at = at or timezone.now(), self.entry.closes_at
        is_late_on_its_way = self.begun_at <= closes_at < at <= closes_at + GRACE
        return self.begun_at if is_late_on_its_way else at

    def go_back_to(self, offset: int) -> None:
        """Forget everything from `offset` on: it must come once more."""
        self.parts.filter(start__gte=offset).delete()
        self.offset = offset
        self.save(update_fields=["offset"])


class UploadPart(models.Model):
    """One piece, in the storage that all web servers share; it counts whole or not at all."""

    upload = models.ForeignKey(Upload, on_delete=models.CASCADE, related_name="parts")
    start = models.BigIntegerField()
    size = models.BigIntegerField()
    file = RandomNameFileField(upload_to="parts/")

    class Meta:
        ordering = ["start"]
        constraints = [models.UniqueConstraint(fields=["upload", "start"], name="one_part_per_offset")]

    def __str__(self) -> str:
        return f"part {self.pk}"
