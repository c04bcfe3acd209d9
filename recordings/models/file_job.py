"""A file made by the workers for somebody who asked. The row is the job, as an `Analysis` is."""

from dataclasses import asdict
from datetime import timedelta

from django.db import models
from django.db.models.functions import Now
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repertoire.notation.sentence import Sentence
from studio.models.database_clock import from_now

# Longer than one step of it may take: after it, its worker counts as gone.
SILENT_AFTER = timedelta(minutes=10)
MOST_ATTEMPTS = 3


class FileJob(models.Model):
    """What is asked for, and by whom, and where the file lies, each kind says itself."""

    class State(models.TextChoices):
        WAITING = "waiting", _("waiting to be made")
        RUNNING = "running", _("being made")
        DONE = "done", _("made")
        FAILED = "failed", _("could not be made")

    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    claim = models.CharField(max_length=32, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    heartbeat_at = models.DateTimeField(default=timezone.now)
    progress_percent = models.PositiveSmallIntegerField(default=0)
    made_at = models.DateTimeField(null=True, blank=True)
    sha256 = models.CharField(max_length=64, blank=True)
    size = models.BigIntegerField(default=0)
    failure = models.JSONField(default=str, blank=True)

    class Meta:
        abstract = True

    @property
    def has_ended(self) -> bool:
        return self.state in (self.State.DONE, self.State.FAILED)

    def claim_for(self, worker: str) -> bool:
        """Take this row by compare-and-set; False where another holds it or it has ended."""
        silent = models.Q(state=self.State.RUNNING, heartbeat_at__lt=from_now(-SILENT_AFTER))
        free = type(self)._base_manager.filter(models.Q(state=self.State.WAITING) | silent, pk=self.pk)
        won = free.filter(attempts__lt=MOST_ATTEMPTS).update(
            state=self.State.RUNNING,
            claim=worker,
            heartbeat_at=Now(),
            attempts=models.F("attempts") + 1,
            progress_percent=0,
        )
        return bool(won)

    def held_by(self, worker: str) -> models.QuerySet:
        return type(self)._base_manager.filter(pk=self.pk, claim=worker, state=self.State.RUNNING)

    def write_heartbeat(self, worker: str, *, progress_percent: int) -> bool:
        held = self.held_by(worker)
        return bool(held.update(heartbeat_at=Now(), progress_percent=progress_percent))

    def mark_failed(self, worker: str, reason: Sentence) -> None:
        self.held_by(worker).update(state=self.State.FAILED, failure=asdict(reason))
