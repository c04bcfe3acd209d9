"""A student entered for an audition."""

from datetime import date

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repertoire.models import InstrumentField
from studio.models.audition import Audition
from studio.models.requirement import Requirement, RequirementQuerySet
from studio.models.student import Student
from studio.models.telling import TellingQuerySet


class EntryQuerySet(TellingQuerySet):
    told = frozenset({"audition", "instrument", "level"})

    def visible_to(self, user) -> "EntryQuerySet":
        return self.filter(student__in=Student.objects.visible_to(user))


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
    def requirements(self) -> RequirementQuerySet:
        return Requirement.objects.for_entry(self)
