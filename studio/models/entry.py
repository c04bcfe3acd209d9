"""A student entered for an audition."""

from datetime import date, datetime

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repertoire.models import InstrumentField
from studio.models.audition import Audition
from studio.models.requirement import Requirement, RequirementQuerySet
from studio.models.student import Student
from studio.models.telling import TellingQuerySet


def with_more_time(time: datetime, extended_until: datetime | None) -> datetime:
    """A deadline or closing time of all, as it is for a student who may have more time."""
    return max(time, extended_until or time)


class EntryQuerySet(TellingQuerySet):
    told = frozenset({"audition", "instrument", "level", "extended_until"})

    def visible_to(self, user) -> "EntryQuerySet":
        return self.filter(student__in=Student.objects.visible_to(user))

    def open(self, at: datetime | None = None) -> "EntryQuerySet":
        """Those for which takes can still be handed in: `is_closed` of one entry, asked of many."""
        now = at or timezone.now()
        return self.filter(models.Q(audition__closes_at__gte=now) | models.Q(extended_until__gte=now))


class Entry(models.Model):
    """One student entered for one audition on one instrument.

    It carries all requirements of that instrument and level.
    """

    student = models.ForeignKey(Student, on_delete=models.CASCADE, related_name="entries")
    audition = models.ForeignKey(Audition, on_delete=models.CASCADE, related_name="entries")
    instrument = InstrumentField(_("instrument"))
    level = models.CharField(_("level"), max_length=40)
    # Empty for entries of a time when it was not written down.
    made_at = models.DateTimeField(null=True, default=timezone.now, editable=False)

    # More time for this student: every deadline and the closing time that lie before it move to it.
    extended_until = models.DateTimeField(_("more time until"), null=True, blank=True, editable=False)
    extension_reason = models.CharField(_("reason"), max_length=200, blank=True, editable=False)
    extended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, editable=False, on_delete=models.SET_NULL, related_name="+"
    )
    extended_at = models.DateTimeField(null=True, editable=False)

    objects = EntryQuerySet.as_manager()

    class Meta:
        ordering = ["audition__closes_at", "student__name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["student", "audition", "instrument"], name="one_entry_per_student_and_audition"
            )
        ]
        verbose_name_plural = "entries"

    def __str__(self) -> str:
        return f"entry {self.pk}"

    def was_made_on(self, day: date) -> bool:
        """Whether it was made on this day of the studio's calendar."""
        return self.made_at is not None and timezone.localdate(self.made_at) == day

    @property
    def closes_at(self) -> datetime:
        """The one closing time of this student; what closes, closes by it."""
        return with_more_time(self.audition.closes_at, self.extended_until)

    def is_closed(self, at: datetime | None = None) -> bool:
        return (at or timezone.now()) > self.closes_at

    def due_at(self, requirement: Requirement) -> datetime:
        """The internal deadline of one of its requirements."""
        return with_more_time(requirement.due_at, self.extended_until)

    @property
    def has_more_time(self) -> bool:
        return self.extended_until is not None and self.extended_until >= timezone.now()

    @property
    def requirements(self) -> RequirementQuerySet:
        return Requirement.objects.for_entry(self)
