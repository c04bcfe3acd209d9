"""A take and the analysis of it; the analysis row is the job, the broker only the doorbell."""

from datetime import datetime, timedelta

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repertoire.models import RandomNameFileField
from studio.models import Entry, Requirement, Student


class TakeQuerySet(models.QuerySet["Take"]):
    def visible_to(self, user) -> "TakeQuerySet":
        return self.filter(entry__student__in=Student.objects.visible_to(user))

    def to_review_by(self, user) -> "TakeQuerySet":
        """Takes this teacher is to answer: own students', or every student's for a director."""
        if user.is_director:
            return self
        return self.filter(entry__student__teacher=user) if user.is_teacher else self.none()

    def awaiting_review(self) -> "TakeQuerySet":
        """Takes with no released review whose analysis has ended, and that no later take replaces."""
        later = Take.objects.filter(
            entry=models.OuterRef("entry"),
            requirement=models.OuterRef("requirement"),
            uploaded_at__gt=models.OuterRef("uploaded_at"),
        )
        return (
            self.exclude(review__state="released")
            .filter(analysis__state__in=[Analysis.State.DONE, Analysis.State.FAILED])
            .exclude(models.Exists(later))
            .order_by("requirement__due_at", "uploaded_at", "pk")
        )

    def with_everything(self) -> "TakeQuerySet":
        return self.select_related(
            "entry__student__teacher",
            "entry__audition__season",
            "requirement__excerpt",
            "requirement__rubric",
            "analysis",
            "review",
        )


class Take(models.Model):
    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="takes")
    requirement = models.ForeignKey(Requirement, on_delete=models.PROTECT, related_name="takes")
    uploaded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="uploaded_takes"
    )
    uploaded_at = models.DateTimeField(default=timezone.now)
    sound = RandomNameFileField(upload_to="takes/%Y/%m/")
    sha256 = models.CharField(max_length=64)
    size = models.BigIntegerField()
    media_type = models.CharField(max_length=80)
    original_name = models.CharField(max_length=200, blank=True)

    objects = TakeQuerySet.as_manager()

    class Meta:
        ordering = ["-uploaded_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["entry", "requirement", "sha256"], name="one_take_per_file_and_requirement"
            )
        ]
        indexes = [models.Index(fields=["entry", "requirement", "-uploaded_at"])]

    def __str__(self) -> str:
        return f"take {self.pk}"

    @property
    def result_before(self) -> dict | None:
        """The analysis document of the same entry's last measured take of the same requirement, if any."""
        earlier = Analysis.objects.filter(
            take__entry=self.entry_id,
            take__requirement=self.requirement_id,
            take__uploaded_at__lt=self.uploaded_at,
            state=Analysis.State.DONE,
        )
        last = earlier.order_by("-take__uploaded_at", "-take__pk").first()
        return last.result if last else None


class AnalysisQuerySet(models.QuerySet["Analysis"]):
    def due_for_bell(self, at: datetime | None = None) -> "AnalysisQuerySet":
        """Rows waiting with no recent bell, and rows whose worker went silent."""
        quiet_since = (at or timezone.now()) - timedelta(seconds=settings.ANALYSIS_SILENT_AFTER_S)
        return self.filter(
            models.Q(state=Analysis.State.WAITING, heartbeat_at__lt=quiet_since)
            | models.Q(state=Analysis.State.RUNNING, heartbeat_at__lt=quiet_since)
        )

    def before(self, analysis: "Analysis") -> "AnalysisQuerySet":
        """Those that were put in the queue earlier and have not ended."""
        return self.unfinished().filter(created_at__lt=analysis.created_at)

    def unfinished(self) -> "AnalysisQuerySet":
        return self.filter(state__in=[Analysis.State.WAITING, Analysis.State.RUNNING])

    def spent(self, at: datetime | None = None) -> "AnalysisQuerySet":
        """Rows due for a bell that have been tried as often as is allowed: no worker may claim them."""
        return self.due_for_bell(at).filter(attempts__gte=settings.ANALYSIS_MAX_ATTEMPTS)


class Analysis(models.Model):
    class State(models.TextChoices):
        WAITING = "waiting", _("waiting to be measured")
        RUNNING = "running", _("being measured")
        DONE = "done", _("measured")
        FAILED = "failed", _("could not be measured")

    take = models.OneToOneField(Take, on_delete=models.CASCADE, related_name="analysis")
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    attempts = models.PositiveSmallIntegerField(default=0)
    claim = models.CharField(max_length=32, blank=True)
    # While waiting: when the bell was last rung. While running: when the worker last gave a sign.
    heartbeat_at = models.DateTimeField(default=timezone.now)
    stage = models.CharField(max_length=40, blank=True)
    progress_percent = models.PositiveSmallIntegerField(default=0)
    # When it was put in the queue, also for being measured again.
    created_at = models.DateTimeField(default=timezone.now)
    finished_at = models.DateTimeField(null=True, blank=True)
    failure = models.TextField(blank=True)
    # The music it was measured against, by its hash; empty where that was not yet written down.
    score_hash = models.CharField(max_length=64, blank=True)
    version = models.CharField(max_length=20, blank=True)
    result = models.JSONField(null=True, blank=True)
    duration_s = models.FloatField(null=True, blank=True)
    median_bpm = models.FloatField(null=True, blank=True)
    share_played = models.FloatField(null=True, blank=True)
    complete = models.BooleanField(null=True, blank=True)
    a4_hz = models.FloatField(null=True, blank=True)

    objects = AnalysisQuerySet.as_manager()

    class Meta:
        indexes = [models.Index(fields=["state", "heartbeat_at"])]
        verbose_name_plural = "analyses"

    def __str__(self) -> str:
        return f"analysis {self.pk}"

    def claim_for(self, worker: str) -> bool:
        """Take this row for `worker` by compare-and-set; False where another holds it or it has ended."""
        now = timezone.now()
        quiet_since = now - timedelta(seconds=settings.ANALYSIS_SILENT_AFTER_S)
        free = models.Q(state=self.State.WAITING) | models.Q(
            state=self.State.RUNNING, heartbeat_at__lt=quiet_since
        )
        won = Analysis.objects.filter(free, pk=self.pk, attempts__lt=settings.ANALYSIS_MAX_ATTEMPTS).update(
            state=self.State.RUNNING,
            claim=worker,
            heartbeat_at=now,
            attempts=models.F("attempts") + 1,
            stage="",
            progress_percent=0,
        )
        if won:
            self.refresh_from_db()
        return bool(won)

    def beat(self, worker: str, *, stage: str, progress_percent: int) -> bool:
        """Tell that `worker` still measures; False where the claim has passed to another."""
        held = Analysis.objects.filter(pk=self.pk, claim=worker, state=self.State.RUNNING)
        return bool(held.update(heartbeat_at=timezone.now(), stage=stage, progress_percent=progress_percent))

    def finish(self, worker: str, result: dict, *, score_hash: str = "") -> bool:
        """Write the result once; False (and nothing written) where the claim has passed to another."""
        return bool(
            Analysis.objects.filter(pk=self.pk, claim=worker, state=self.State.RUNNING).update(
                state=self.State.DONE,
                finished_at=timezone.now(),
                stage="",
                progress_percent=100,
                failure="",
                score_hash=score_hash,
                result=result,
                version=result["version"],
                duration_s=result["recording"]["duration_s"],
                median_bpm=result["tempo"]["median_bpm"],
                share_played=result["form"]["share_played"],
                complete=result["form"]["complete"],
                a4_hz=result["tuning"]["a4_hz"],
            )
        )

    def mark_failed(self, reason: str, *, worker: str | None = None) -> bool:
        """End the row with a sentence for the person; False where it has ended or passed to another."""
        rows = Analysis.objects.filter(pk=self.pk, state__in=[self.State.WAITING, self.State.RUNNING])
        if worker is not None:
            rows = rows.filter(claim=worker)
        return bool(
            rows.update(state=self.State.FAILED, failure=reason, finished_at=timezone.now(), stage="")
        )

    def hand_back(self, worker: str) -> bool:
        """Put a claimed row back in the queue after a passing trouble; its attempt stays counted."""
        held = Analysis.objects.filter(pk=self.pk, claim=worker, state=self.State.RUNNING)
        return bool(held.update(state=self.State.WAITING, claim="", heartbeat_at=timezone.now(), stage=""))

    def start_again(self) -> bool:
        """Put an ended analysis back in the queue, keeping the take; False where it has not ended."""
        ended = Analysis.objects.filter(pk=self.pk, state__in=[self.State.DONE, self.State.FAILED])
        return bool(
            ended.update(
                state=self.State.WAITING,
                attempts=0,
                claim="",
                created_at=timezone.now(),
                heartbeat_at=timezone.now(),
                finished_at=None,
                stage="",
                progress_percent=0,
                failure="",
            )
        )
