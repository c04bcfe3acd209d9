"""One exercise read at sight by one student: the music, the one take of it, what was heard."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models.functions import Now
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repertoire.models import Excerpt, InstrumentField, RandomNameFileField
from studio.models import Requirement, Student

MOST_ATTEMPTS = 3


class SightReadingQuerySet(models.QuerySet["SightReading"]):
    def own_of(self, user) -> "SightReadingQuerySet":
        """A student's own; those of a child without an account are its guardians'."""
        child = models.Q(student__user=None, student__guardianships__guardian=user)
        return self.filter(models.Q(student__user=user) | child).distinct()

    def handed_to(self, user) -> "SightReadingQuerySet":
        """What was handed to this teacher; a director may hear all that was handed in."""
        handed = self.exclude(handed_at=None)
        return handed if user.is_director else handed.filter(student__in=_taught(user))

    def visible_to(self, user) -> "SightReadingQuerySet":
        """A student's own, and what was handed in for whom it was handed to: nobody else's."""
        own = self.own_of(user).values("pk")
        if not user.is_staff:
            return self.filter(pk__in=own)
        return self.filter(models.Q(pk__in=own) | models.Q(pk__in=self.handed_to(user).values("pk")))

    def set_by_staff(self, user) -> "SightReadingQuerySet":
        """Those this person set, and those handed in: for the list that shows no more than that."""
        return self.filter(models.Q(set_by=user) | models.Q(pk__in=self.handed_to(user).values("pk")))

    def waiting(self) -> "SightReadingQuerySet":
        return self.filter(state=SightReading.State.WAITING)

    def sounding(self) -> "SightReadingQuerySet":
        return self.exclude(sound="")


def _taught(user) -> models.QuerySet[Student]:
    return Student.objects.filter(teacher=user) if user.is_teacher else Student.objects.none()


class SightReading(models.Model):
    class State(models.TextChoices):
        UNPLAYED = "unplayed", _("not played yet")
        WAITING = "waiting", _("is being listened to")
        DONE = "done", _("played")
        FAILED = "failed", _("could not be measured")
        REMOVED = "removed", _("removed")

    student = models.ForeignKey(Student, on_delete=models.CASCADE, related_name="sight_readings")
    # The music whose keys, metres and range it keeps to.
    requirement = models.ForeignKey(
        Requirement, null=True, on_delete=models.SET_NULL, related_name="sight_readings"
    )
    instrument = InstrumentField(_("instrument"))
    level = models.PositiveSmallIntegerField(validators=[MinValueValidator(1), MaxValueValidator(5)])
    seed = models.BigIntegerField()
    musicxml = models.TextField()
    content_hash = models.CharField(max_length=64)
    bpm = models.PositiveSmallIntegerField()
    beat_unit = models.CharField(max_length=4, choices=Excerpt.BeatUnit.choices)
    set_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="sight_readings_set"
    )
    made_at = models.DateTimeField(default=timezone.now)
    looked_at = models.DateTimeField(null=True, blank=True)
    played_at = models.DateTimeField(null=True, blank=True)
    handed_at = models.DateTimeField(null=True, blank=True)
    state = models.CharField(max_length=10, choices=State.choices, default=State.UNPLAYED)
    begun_at = models.DateTimeField(null=True, blank=True)  # when a worker took it up
    attempts = models.PositiveSmallIntegerField(default=0)
    sound = RandomNameFileField(upload_to="sight/%Y/%m/", blank=True)
    sha256 = models.CharField(max_length=64, blank=True)
    size = models.BigIntegerField(default=0)
    media_type = models.CharField(max_length=80, blank=True)
    result = models.JSONField(null=True, blank=True)
    failure = models.JSONField(default=str, blank=True)  # a sentence

    objects = SightReadingQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["student", "content_hash"], name="no_exercise_twice_for_one_student"
            )
        ]
        indexes = [models.Index(fields=["state", "begun_at"]), models.Index(fields=["played_at"])]

    def __str__(self) -> str:
        return f"sight reading {self.pk}"

    @property
    def excerpt(self) -> Excerpt:
        """The exercise as music that can be drawn and played; it stands in no library."""
        return Excerpt(
            title=str(_("Reading at sight")),
            instrument=self.instrument,
            musicxml=self.musicxml,
            content_hash=self.content_hash,
            marked_bpm=self.bpm,
            beat_unit=self.beat_unit,
        )

    @property
    def may_be_played(self) -> bool:
        return self.state == self.State.UNPLAYED

    @property
    def is_waiting(self) -> bool:
        return self.state == self.State.WAITING

    def begin_looking(self) -> None:
        """The first look counts; a page opened again does not begin it anew."""
        SightReading.objects.filter(pk=self.pk, looked_at=None).update(looked_at=Now())

    def hand_in(self) -> bool:
        """Let the teacher hear it; False where there is nothing to hear."""
        rows = SightReading.objects.sounding().filter(pk=self.pk)
        return bool(rows.update(handed_at=Now()))

    def take_back(self) -> None:
        SightReading.objects.filter(pk=self.pk).update(handed_at=None)
