"""Students, and who may see them."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from repertoire.models import InstrumentField
from studio.models.consent import Consent
from studio.models.guardianship import Guardianship
from studio.models.handover import Handover
from studio.models.invitation import Invitation
from studio.models.role import Role
from studio.models.user import User


def _away(user):
    """Those whose students this person hears today."""
    return Handover.objects.standing().filter(colleague=user).values("teacher")


def handed_to(user) -> "StudentQuerySet":
    """The students of others whom this person hears today."""
    return Student.objects.filter(teacher__in=_away(user)).exclude(teacher=user)


class StudentQuerySet(models.QuerySet["Student"]):
    def visible_to(self, user) -> "StudentQuerySet":
        """Directors see every student; teachers their own and those handed over to them for now; students
        themselves; guardians their children.
        """
        if not user.is_authenticated:
            return self.none()
        if user.is_director:
            return self
        seen = models.Q(user=user)
        if user.is_teacher:
            seen |= models.Q(teacher=user) | models.Q(teacher__in=_away(user))
        if user.is_guardian:
            seen |= models.Q(guardianships__guardian=user)
        return self.filter(seen).distinct()

    def with_account_facts(self, at=None) -> "StudentQuerySet":
        """Adds `consent_stands`, `has_guardian`, `student_invited` and `guardian_invited` for lists."""
        invited = Invitation.objects.open(at).filter(student=models.OuterRef("pk"))
        standing = Consent.objects.filter(student=models.OuterRef("pk"), withdrawn_at=None)
        guardians = Guardianship.objects.filter(student=models.OuterRef("pk"))
        return self.annotate(
            consent_stands=models.Exists(standing),
            has_guardian=models.Exists(guardians),
            student_invited=models.Exists(invited.filter(role=Role.STUDENT)),
            guardian_invited=models.Exists(invited.filter(role=Role.GUARDIAN)),
        )


class Student(models.Model):
    """One student on one instrument; an account is tied to it when the invitation is taken up."""

    user = models.ForeignKey(User, null=True, blank=True, on_delete=models.SET_NULL, related_name="students")
    name = models.CharField(_("name"), max_length=120)
    email = models.EmailField(_("student's mail address"), blank=True)
    instrument = InstrumentField(_("instrument"))
    level = models.CharField(_("level"), max_length=40)
    teacher = models.ForeignKey(
        User, on_delete=models.PROTECT, related_name="taught_students", verbose_name=_("teacher")
    )
    is_minor = models.BooleanField(_("is a minor"), default=True)
    guardian_email = models.EmailField(_("guardian's mail address"), blank=True)

    objects = StudentQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name

    @property
    def first_name(self) -> str:
        """What stands before the first blank, or after the comma where the surname was written first."""
        return self.name.rpartition(",")[2].strip().partition(" ")[0]

    @property
    def has_consent(self) -> bool:
        return self.consents.filter(withdrawn_at=None).exists()

    @property
    def may_record(self) -> bool:
        return not self.is_minor or self.has_consent
