"""The analysis of a take: this row is the job, and the broker's message only says that it is there."""

from dataclasses import asdict
from datetime import timedelta

from django.conf import settings
from django.db import models
from django.db.models.functions import Now
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repertoire.notation.sentence import Sentence
from studio.models.database_clock import from_now
from studio.models.telling import TellingQuerySet


def quiet_since() -> models.ExpressionWrapper:
    """The moment before which a heartbeat counts as gone, by the database's clock: workers' clocks differ."""
    return from_now(-timedelta(seconds=settings.ANALYSIS_SILENT_AFTER_S))


def right_share(result: dict) -> float | None:
    """Of the printed notes in the bars played, those neither left out nor at another pitch, 0 to 1."""
    form = result["form"]
    count = form["note_count"]
    return (count - form["wrong_count"] - form["missing_count"]) / count if count else None


def in_tune_share(result: dict) -> float | None:
    """Of the notes given cents, those within the tolerance, 0 to 1; None where intonation is not judged."""
    intonation = result["intonation"]
    return intonation["within_tolerance_share"] if intonation["judged"] else None


class AnalysisQuerySet(TellingQuerySet):
    told = frozenset({"state", "complete", "metronome_bpm", "right_share", "unusable"})

    def stalled(self) -> "AnalysisQuerySet":
        """Rows waiting with no recent message to the workers, and rows whose worker went silent."""
        return self.unfinished().filter(heartbeat_at__lt=quiet_since())

    def unfinished(self) -> "AnalysisQuerySet":
        return self.filter(state__in=[Analysis.State.WAITING, Analysis.State.RUNNING])

    def out_of_attempts(self) -> "AnalysisQuerySet":
        """Stalled rows that have been tried as often as is allowed: no worker may claim them."""
        return self.stalled().filter(attempts__gte=settings.ANALYSIS_MAX_ATTEMPTS)


class Analysis(models.Model):
    class State(models.TextChoices):
        WAITING = "waiting", _("waiting to be measured")
        RUNNING = "running", _("being measured")
        DONE = "done", _("measured")
        FAILED = "failed", _("could not be measured")

    class Unusable(models.TextChoices):
        """Why a take is better recorded again than put before the teacher, as its player reads it."""

        SILENT = "silent", _("There is no sound in this recording.")
        UNREADABLE = "unreadable", _("This file could not be opened as a recording.")
        OTHER_MUSIC = "other_music", _("This recording does not sound like the printed music.")
        OTHER_PITCH = (
            "other_pitch",
            _("This recording sounds at another pitch than printed: perhaps another instrument or octave."),
        )

    take = models.OneToOneField("recordings.Take", on_delete=models.CASCADE, related_name="analysis")
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    attempts = models.PositiveSmallIntegerField(default=0)
    claim = models.CharField(max_length=32, blank=True)
    # While waiting: when the workers were last sent a message. While running: the last heartbeat.
    heartbeat_at = models.DateTimeField(default=timezone.now)
    stage = models.CharField(max_length=40, blank=True)
    progress_percent = models.PositiveSmallIntegerField(default=0)
    # When it was put in the queue, also for being measured again.
    created_at = models.DateTimeField(default=timezone.now)
    # Somebody waits for it with the take open: it goes before all others.
    at_desk = models.BooleanField(default=False)
    finished_at = models.DateTimeField(null=True, blank=True)
    # A sentence as code and arguments; a text where an earlier version wrote it; "" where nothing failed.
    failure = models.JSONField(default=str, blank=True)
    unusable = models.CharField(max_length=12, choices=Unusable.choices, blank=True)
    # The music it was measured against, by its hash; empty where that was not yet written down.
    score_hash = models.CharField(max_length=64, blank=True)
    version = models.CharField(max_length=20, blank=True)
    result = models.JSONField(null=True, blank=True)
    duration_s = models.FloatField(null=True, blank=True)
    metronome_bpm = models.FloatField(null=True, blank=True)
    share_played = models.FloatField(null=True, blank=True)
    complete = models.BooleanField(null=True, blank=True)
    a4_hz = models.FloatField(null=True, blank=True)
    # Of the printed notes in the bars played, those neither left out nor at another pitch, 0 to 1.
    right_share = models.FloatField(null=True, blank=True)
    # Of the notes given cents, those within the tolerance; None where intonation is not judged.
    in_tune_share = models.FloatField(null=True, blank=True)

    objects = AnalysisQuerySet.as_manager()

    class Meta:
        indexes = [models.Index(fields=["state", "heartbeat_at"])]
        verbose_name_plural = "analyses"

    def __str__(self) -> str:
        return f"analysis {self.pk}"

    def claim_for(self, worker: str) -> bool:
        """Take this row for `worker` by compare-and-set; False where another holds it or it has ended."""
        free = models.Q(state=self.State.WAITING) | models.Q(
            state=self.State.RUNNING, heartbeat_at__lt=quiet_since()
        )
        won = Analysis.objects.filter(free, pk=self.pk, attempts__lt=settings.ANALYSIS_MAX_ATTEMPTS).update(
            state=self.State.RUNNING,
            claim=worker,
            heartbeat_at=Now(),
            attempts=models.F("attempts") + 1,
            stage="",
            progress_percent=0,
        )
        if won:
            self.refresh_from_db()
        return bool(won)

    def write_heartbeat(self, worker: str, *, stage: str, progress_percent: int) -> bool:
        """Note that `worker` still measures; False where the claim has passed to another."""
        held = Analysis.objects.filter(pk=self.pk, claim=worker, state=self.State.RUNNING)
        return bool(held.update(heartbeat_at=Now(), stage=stage, progress_percent=progress_percent))

    def finish(self, worker: str, result: dict, *, score_hash: str = "", unusable: str = "") -> bool:
        """Write the result once; False (and nothing written) where the claim has passed to another."""
        return bool(
            Analysis.objects.filter(pk=self.pk, claim=worker, state=self.State.RUNNING).update(
                state=self.State.DONE,
                finished_at=timezone.now(),
                stage="",
                progress_percent=100,
                failure="",
                unusable=unusable,
                score_hash=score_hash,
                result=result,
                version=result["version"],
                duration_s=result["recording"]["duration_s"],
                metronome_bpm=result["tempo"]["metronome_bpm"],
                share_played=result["form"]["share_played"],
                complete=result["form"]["complete"],
                a4_hz=result["tuning"]["a4_hz"],
                right_share=right_share(result),
                in_tune_share=in_tune_share(result),
            )
        )

    def mark_failed(self, reason: Sentence, *, worker: str | None = None, unusable: str = "") -> bool:
        """End the row with a sentence for the person; False where it has ended or passed to another."""
        rows = Analysis.objects.filter(pk=self.pk, state__in=[self.State.WAITING, self.State.RUNNING])
        if worker is not None:
            rows = rows.filter(claim=worker)
        return bool(
            rows.update(
                state=self.State.FAILED,
                failure=asdict(reason),
                unusable=unusable,
                finished_at=timezone.now(),
                stage="",
            )
        )

    def hand_back(self, worker: str) -> bool:
        """Put a claimed row back in the queue after a passing trouble; its attempt stays counted."""
        held = Analysis.objects.filter(pk=self.pk, claim=worker, state=self.State.RUNNING)
        return bool(held.update(state=self.State.WAITING, claim="", heartbeat_at=Now(), stage=""))

    def start_again(self, *, at_desk: bool = False) -> bool:
        """Put an ended analysis back in the queue, keeping the take; False where it has not ended."""
        ended = Analysis.objects.filter(pk=self.pk, state__in=[self.State.DONE, self.State.FAILED])
        return bool(
            ended.update(
                state=self.State.WAITING,
                attempts=0,
                at_desk=at_desk,
                claim="",
                created_at=timezone.now(),
                heartbeat_at=Now(),
                finished_at=None,
                stage="",
                progress_percent=0,
                failure="",
                unusable="",
            )
        )
