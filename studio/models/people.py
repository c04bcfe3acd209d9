"""Accounts and roles, the studio itself, students, guardians and their consent."""

import hashlib
import secrets
from datetime import timedelta

from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repertoire.models import InstrumentField


class Role(models.TextChoices):
    DIRECTOR = "director", _("Director")
    TEACHER = "teacher", _("Teacher")
    STUDENT = "student", _("Student")
    GUARDIAN = "guardian", _("Guardian")


class Studio(models.Model):
    """The one studio this installation serves."""

    name = models.CharField(_("name"), max_length=120)
    time_zone = models.CharField(_("time zone"), max_length=60)
    ready_percent = models.PositiveSmallIntegerField(
        _("ready from, in percent of each top mark"),
        default=70,
        validators=[MinValueValidator(1), MaxValueValidator(100)],
        help_text=_(
            "A take counts as ready when every caption is marked at this share of its top mark or above."
        ),
    )
    invented = models.BooleanField(default=False)

    def __str__(self) -> str:
        return self.name

    @classmethod
    def current(cls) -> "Studio":
        return cls.objects.first() or cls(name=str(_("Our studio")), time_zone=settings.STUDIO_TIME_ZONE)


class UserManager(BaseUserManager["User"]):
    def create_user(self, email: str, password: str | None = None, **fields) -> "User":
        user = self.model(email=self.normalize_email(email).lower(), **fields)
        user.set_password(password) if password else user.set_unusable_password()
        user.save(using=self._db)
        return user

    def with_role(self, role: str):
        return self.filter(roles__role=role, is_active=True).order_by("name", "pk")


class User(AbstractBaseUser):
    email = models.EmailField(_("mail address"), unique=True)
    name = models.CharField(_("name"), max_length=120)
    is_active = models.BooleanField(default=True)
    joined_at = models.DateTimeField(default=timezone.now)

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS = ["name"]
    objects = UserManager()

    def __str__(self) -> str:
        return self.name

    @property
    def is_staff(self) -> bool:
        return self.is_director or self.is_teacher

    @property
    def role_names(self) -> frozenset[str]:
        if not hasattr(self, "_role_names"):
            self._role_names = frozenset(self.roles.values_list("role", flat=True))
        return self._role_names

    def has_role(self, role: str) -> bool:
        return role in self.role_names

    def grant(self, *roles: str) -> None:
        for role in roles:
            self.roles.get_or_create(role=role)
        self.__dict__.pop("_role_names", None)

    @property
    def is_director(self) -> bool:
        return self.has_role(Role.DIRECTOR)

    @property
    def is_teacher(self) -> bool:
        return self.has_role(Role.TEACHER)

    @property
    def is_student(self) -> bool:
        return self.has_role(Role.STUDENT)

    @property
    def is_guardian(self) -> bool:
        return self.has_role(Role.GUARDIAN)


class RoleGrant(models.Model):
    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="roles")
    role = models.CharField(max_length=10, choices=Role.choices)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["user", "role"], name="one_grant_per_role")]

    def __str__(self) -> str:
        return self.get_role_display()


class StudentQuerySet(models.QuerySet["Student"]):
    def visible_to(self, user) -> "StudentQuerySet":
        """Directors see every student; teachers their own; students themselves; guardians their children."""
        if not user.is_authenticated:
            return self.none()
        if user.is_director:
            return self
        seen = models.Q(user=user)
        if user.is_teacher:
            seen |= models.Q(teacher=user)
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
    def has_consent(self) -> bool:
        return self.consents.filter(withdrawn_at=None).exists()

    @property
    def may_record(self) -> bool:
        return not self.is_minor or self.has_consent


class Guardianship(models.Model):
    guardian = models.ForeignKey(User, on_delete=models.CASCADE, related_name="guardianships")
    student = models.ForeignKey(Student, on_delete=models.CASCADE, related_name="guardianships")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["guardian", "student"], name="one_guardianship")]

    def __str__(self) -> str:
        return f"{self.guardian_id} for {self.student_id}"


class Consent(models.Model):
    """A guardian's agreement that this student may record and upload; kept when withdrawn."""

    student = models.ForeignKey(Student, on_delete=models.CASCADE, related_name="consents")
    given_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="consents_given")
    given_at = models.DateTimeField(default=timezone.now)
    wording = models.TextField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["student"], condition=models.Q(withdrawn_at=None), name="one_standing_consent"
            )
        ]

    def __str__(self) -> str:
        return f"consent {self.pk}"

    def withdraw(self) -> None:
        self.withdrawn_at = timezone.now()
        self.save(update_fields=["withdrawn_at"])


class InvitationQuerySet(models.QuerySet["Invitation"]):
    def open(self, at=None) -> "InvitationQuerySet":
        return self.filter(used_at=None, withdrawn_at=None, expires_at__gt=at or timezone.now())

    def for_token(self, token: str) -> "InvitationQuerySet":
        return self.filter(token_hash=Invitation.hash_of(token))


class Invitation(models.Model):
    """A single-use link to an account; only the token's hash is kept."""

    email = models.EmailField(_("mail address"))
    name = models.CharField(_("name"), max_length=120)
    role = models.CharField(_("role"), max_length=10, choices=Role.choices)
    student = models.ForeignKey(
        Student, null=True, blank=True, on_delete=models.CASCADE, related_name="invitations"
    )
    token_hash = models.CharField(max_length=64, unique=True)
    invited_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="invitations_sent")
    invited_at = models.DateTimeField(default=timezone.now)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    objects = InvitationQuerySet.as_manager()

    class Meta:
        ordering = ["-invited_at", "-pk"]

    def __str__(self) -> str:
        return f"invitation {self.pk}"

    @staticmethod
    def hash_of(token: str) -> str:
        return hashlib.sha256(token.encode()).hexdigest()

    @classmethod
    def issue(
        cls, *, email: str, name: str, role: str, invited_by: User, student: Student | None = None
    ) -> tuple["Invitation", str]:
        """Save an invitation and return it with its token, which is not kept."""
        token = secrets.token_urlsafe(32)
        invitation = cls.objects.create(
            email=email.lower(),
            name=name,
            role=role,
            student=student,
            invited_by=invited_by,
            token_hash=cls.hash_of(token),
            expires_at=timezone.now() + timedelta(days=settings.INVITATION_DAYS),
        )
        return invitation, token

    def is_open(self, at=None) -> bool:
        closed = self.used_at is not None or self.withdrawn_at is not None
        return not closed and self.expires_at > (at or timezone.now())

    def claim(self) -> bool:
        """Use the link up by compare-and-set; False where it was used, withdrawn or has run out."""
        now = timezone.now()
        return bool(Invitation.objects.filter(pk=self.pk).open(now).update(used_at=now))

    def withdraw(self) -> None:
        self.withdrawn_at = timezone.now()
        self.save(update_fields=["withdrawn_at"])
