"""Clinics: a class on one piece of music, for one evening."""

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repertoire.models import Excerpt
from studio.models.question import QuestionQuerySet, students_playing
from studio.models.requirement import Requirement
from studio.models.student import Student, StudentQuerySet
from studio.models.user import User


class ClinicQuerySet(models.QuerySet["Clinic"]):
    def upcoming(self, at=None) -> "ClinicQuerySet":
        """From today on; a clinic stays in sight until its day is over."""
        now = timezone.localtime(at)
        return self.filter(held_at__gte=now.replace(hour=0, minute=0, second=0, microsecond=0))

    def past(self, at=None) -> "ClinicQuerySet":
        return self.exclude(pk__in=self.upcoming(at)).order_by("-held_at", "-pk")

    def inviting(self, students) -> "ClinicQuerySet":
        """Clinics that one of `students` is invited to: chosen, or playing the music of one open to all."""
        asked_of_them = Requirement.objects.filter(
            excerpt=models.OuterRef("excerpt"),
            audition__entries__student__in=students,
            audition__entries__instrument=models.F("instrument"),
            audition__entries__level=models.F("level"),
        )
        chosen = self.model.students.through.objects.filter(
            clinic=models.OuterRef("pk"), student__in=students
        )
        return self.filter(
            models.Q(models.Exists(asked_of_them), for_all=True)
            | models.Q(models.Exists(chosen), for_all=False)
        )

    def visible_to(self, user) -> "ClinicQuerySet":
        """Staff see every clinic; students and guardians those they are invited to."""
        return self if user.is_staff else self.inviting(Student.objects.visible_to(user).values("pk"))


class Clinic(models.Model):
    excerpt = models.ForeignKey(
        Excerpt, on_delete=models.PROTECT, related_name="clinics", verbose_name=_("music")
    )
    held_at = models.DateTimeField(_("day and time"))
    place = models.CharField(_("place"), max_length=160)
    leader = models.ForeignKey(
        User, on_delete=models.PROTECT, related_name="clinics_led", verbose_name=_("leader")
    )
    for_all = models.BooleanField(_("all who play this music"), default=True)
    students = models.ManyToManyField(
        Student, blank=True, related_name="clinics", verbose_name=_("only these students")
    )
    notes = models.TextField(_("notes"), blank=True, max_length=4000)

    objects = ClinicQuerySet.as_manager()

    class Meta:
        ordering = ["held_at", "pk"]

    def __str__(self) -> str:
        return f"clinic {self.pk}"

    @property
    def invited(self) -> StudentQuerySet:
        return students_playing(self.excerpt) if self.for_all else self.students.all()

    @property
    def questions(self) -> QuestionQuerySet:
        """What the invited students have asked about this music."""
        return self.excerpt.questions.filter(student__in=self.invited.values("pk"))
