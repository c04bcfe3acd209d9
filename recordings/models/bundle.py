"""The files made of an entry's takes to be sent, in one zip. This row is the job, as an `Analysis` is."""

from dataclasses import asdict
from datetime import timedelta

from django.conf import settings
from django.db import models
from django.db.models.functions import Now
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repertoire.models import RandomNameFileField
from repertoire.notation.sentence import Sentence
from studio.models import Entry
from studio.models.database_clock import from_now

# Longer than one file may take to be made: after it, its worker counts as gone.
SILENT_AFTER = timedelta(minutes=10)
MOST_ATTEMPTS = 3


class Bundle(models.Model):
    class State(models.TextChoices):
        WAITING = "waiting", _("waiting to be made")
        RUNNING = "running", _("being made")
        DONE = "done", _("made")
        FAILED = "failed", _("could not be made")

    entry = models.OneToOneField(Entry, on_delete=models.CASCADE, related_name="bundle")
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    claim = models.CharField(max_length=32, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    heartbeat_at = models.DateTimeField(default=timezone.now)
    progress_percent = models.PositiveSmallIntegerField(default=0)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="bundles"
    )
    made_at = models.DateTimeField(null=True, blank=True)
    file = RandomNameFileField(upload_to="bundles/%Y/%m/", blank=True)
    sha256 = models.CharField(max_length=64, blank=True)
    size = models.BigIntegerField(default=0)
    # What lies in it, in order: name, music, take, recording, how, was, sha256, size, duration_s.
    contents = models.JSONField(default=list, blank=True)
    failure = models.JSONField(default=str, blank=True)

    def __str__(self) -> str:
        return f"bundle {self.pk}"

    @property
    def has_ended(self) -> bool:
        return self.state in (self.State.DONE, self.State.FAILED)

    def claim_for(self, worker: str) -> bool:
        """Take this row by compare-and-set; False where another holds it or it has ended."""
        silent = models.Q(state=self.State.RUNNING, heartbeat_at__lt=from_now(-SILENT_AFTER))
        free = Bundle.objects.filter(models.Q(state=self.State.WAITING) | silent, pk=self.pk)
        won = free.filter(attempts__lt=MOST_ATTEMPTS).update(
            state=self.State.RUNNING,
            claim=worker,
            heartbeat_at=Now(),
            attempts=models.F("attempts") + 1,
            progress_percent=0,
        )
        return bool(won)

    def held_by(self, worker: str) -> "models.QuerySet[Bundle]":
        return Bundle.objects.filter(pk=self.pk, claim=worker, state=self.State.RUNNING)

    def write_heartbeat(self, worker: str, *, progress_percent: int) -> bool:
        held = self.held_by(worker)
        return bool(held.update(heartbeat_at=Now(), progress_percent=progress_percent))

    def mark_failed(self, worker: str, reason: Sentence) -> None:
        self.held_by(worker).update(state=self.State.FAILED, failure=asdict(reason))
