"""A take: one recorded performance of a requirement, handed in for an entry."""

from datetime import datetime
from functools import cached_property

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from recordings.models.analysis import Analysis
from recordings.models.correction import Correction
from repertoire.models import RandomNameFileField
from studio.models import Entry, Requirement, Student
from studio.models.student import handed_to
from studio.models.telling import TellingQuerySet


class TakeQuerySet(TellingQuerySet):
    told = frozenset({"uploaded_at", "hear_anyway_at"})

    def visible_to(self, user) -> "TakeQuerySet":
        return self.filter(entry__student__in=Student.objects.visible_to(user))

    def to_review_by(self, user) -> "TakeQuerySet":
        """Takes this teacher is to answer: those of own students and of those handed over for now.

        Every student's for a director.
        """
        if user.is_director:
            return self
        if not user.is_teacher:
            return self.none()
        own, handed = models.Q(entry__student__teacher=user), models.Q(entry__student__in=handed_to(user))
        return self.filter(own | handed)

    def to_be_heard(self) -> "TakeQuerySet":
        """Without those whose player is asked to record again, unless they want them heard all the same."""
        heard = self.filter(models.Q(analysis__unusable="") | models.Q(hear_anyway_at__isnull=False))
        return heard.exclude(models.Q(review__state="released") & ~models.Q(review__again=""))

    def awaiting_review(self) -> "TakeQuerySet":
        """Takes with no released review whose analysis has ended, and that no later take replaces."""
        waiting = self.filter(
            latest_of__latest_at__isnull=False,
            latest_of__latest_answer__in=["", "withdrawn"],
            latest_of__latest_measured__in=["done", "failed"],
        )
        return waiting.order_by("requirement__due_at", "uploaded_at", "pk")

    def counting(self) -> "TakeQuerySet":
        """Those that can be judged: `is_to_be_recorded_again` of one take, asked of many."""
        released = models.Q(review__state="released")
        unanswered = models.Q(review__isnull=True) | models.Q(review__state__in=["draft", "withdrawn"])
        usable = models.Q(analysis__isnull=True) | models.Q(analysis__unusable="")
        heard = usable | models.Q(hear_anyway_at__isnull=False)
        return self.filter((released & models.Q(review__again="")) | (unanswered & heard))

    def latest_counting(self) -> "TakeQuerySet":
        """The last take that counts of each entry and requirement."""
        same = Take.objects.counting().filter(
            entry=models.OuterRef("entry"), requirement=models.OuterRef("requirement")
        )
        later = models.Q(uploaded_at__gt=models.OuterRef("uploaded_at")) | models.Q(
            uploaded_at=models.OuterRef("uploaded_at"), pk__gt=models.OuterRef("pk")
        )
        return self.counting().exclude(models.Exists(same.filter(later)))

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
    class SoundState(models.TextChoices):
        """What the nightly check found in the storage."""

        WHOLE = "whole", _("whole")
        MISSING = "missing", _("missing")
        CHANGED = "changed", _("not what was handed in")

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
    # When its player asked for it to be heard although the measuring asks for another recording.
    hear_anyway_at = models.DateTimeField(null=True, blank=True)
    original_name = models.CharField(max_length=200, blank=True)
    sound_state = models.CharField(max_length=10, choices=SoundState.choices, default=SoundState.WHOLE)

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
    def is_to_be_recorded_again(self) -> bool:
        """Whether its teacher says so, or nothing can be made of it and nobody answered or wants it heard."""
        answered = hasattr(self, "review") and self.review.is_released
        if answered and self.review.again:
            return True
        analysis = getattr(self, "analysis", None)
        return bool(analysis and analysis.unusable) and self.hear_anyway_at is None and not answered

    @property
    def due_at(self) -> datetime:
        return self.entry.due_at(self.requirement)

    def ask_to_be_heard(self) -> bool:
        """Put it before the teacher all the same; False where it is there already."""
        rows = Take.objects.filter(pk=self.pk, hear_anyway_at=None).exclude(analysis__unusable="")
        return bool(rows.update(hear_anyway_at=timezone.now()))

    @cached_property
    def correction(self) -> "Correction | None":
        """What a teacher has set right in its measurement, as it stood when this was first asked."""
        return Correction.objects.in_force(self.pk)

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
