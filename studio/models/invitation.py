"""The way into the studio: a link sent by mail."""

import hashlib
import secrets
from datetime import timedelta
from typing import TYPE_CHECKING

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from studio.models.outgoing_mail import OutgoingMail
from studio.models.role import Role
from studio.models.user import User

if TYPE_CHECKING:
    from studio.models.student import Student


class InvitationQuerySet(models.QuerySet["Invitation"]):
    def open(self, at=None) -> "InvitationQuerySet":
        return self.filter(used_at=None, withdrawn_at=None, expires_at__gt=at or timezone.now())

    def for_token(self, token: str) -> "InvitationQuerySet":
        return self.filter(token_hash=Invitation.hash_of(token))

    def with_refused_mail(self) -> "InvitationQuerySet":
        """Each with `mail_refused`: its link never arrived."""
        refused = OutgoingMail.objects.never_arrived().filter(invitation=models.OuterRef("pk"))
        return self.annotate(mail_refused=models.Exists(refused))


class Invitation(models.Model):
    """A single-use link to an account; only the token's hash is kept."""

    email = models.EmailField(_("mail address"))
    name = models.CharField(_("name"), max_length=120)
    role = models.CharField(_("role"), max_length=10, choices=Role.choices)
    student = models.ForeignKey(
        "studio.Student", null=True, blank=True, on_delete=models.CASCADE, related_name="invitations"
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
        cls, *, email: str, name: str, role: str, invited_by: User, student: "Student | None" = None
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
        """The link opens nothing any more, and a mail that still waits with it is not sent."""
        self.withdrawn_at = timezone.now()
        self.save(update_fields=["withdrawn_at"])
        self.mails.withdraw()
