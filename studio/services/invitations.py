"""Sending an invitation and taking it up."""

from datetime import timedelta

from allauth.account.models import EmailAddress
from django.conf import settings
from django.db import IntegrityError, transaction
from django.dispatch import Signal
from django.urls import reverse
from django.utils import translation

from studio.models import Event, Guardianship, Invitation, Role, Student, Studio, User
from studio.models.outgoing_mail import GIVEN_UP_AFTER
from studio.services.events import record
from studio.services.mail import send_from_template

# Sent with `invitation` and `user` in the transaction that takes an invitation up, for the rooms above.
taken_up = Signal()


class InvitationClosed(Exception):
    """The link was used, withdrawn or has run out in the meantime."""


class AlreadyTied(Exception):
    """Another account is already tied to this student."""


def invite(
    *, email: str, name: str, role: str, invited_by: User, student: Student | None = None
) -> Invitation:
    """Issue an invitation in place of any open one for the same, and have it mailed."""
    with transaction.atomic():
        same = Invitation.objects.open().filter(email=email.lower(), role=role, student=student)
        for earlier in same:
            earlier.withdraw()
        invitation, token = Invitation.issue(
            email=email, name=name, role=role, invited_by=invited_by, student=student
        )
        words = _words_of(invitation, token)
        reader = User.objects.with_address(invitation.email) or User.nobody()
        with translation.override(words["studio"].language_for(reader)):
            send_from_template(
                "invitation",
                to=invitation.email,
                context=words,
                within=min(GIVEN_UP_AFTER, timedelta(days=settings.INVITATION_DAYS)),
                invitation=invitation,
            )
    return invitation


def withdraw_to_former_addresses(student: Student) -> None:
    """A link mailed to an address since corrected must not tie whoever got it to this student."""
    address: dict[str, str] = {
        Role.STUDENT: student.email.lower(),
        Role.GUARDIAN: student.guardian_email.lower(),
    }
    for invitation in Invitation.objects.open().filter(student=student):
        if invitation.email != address.get(invitation.role):
            invitation.withdraw()


def _words_of(invitation: Invitation, token: str) -> dict:
    return {
        "invitation": invitation,
        "studio": Studio.current(),
        "address": settings.SITE_ADDRESS + reverse("invitation", args=[token]),
    }


def accept_as_new(invitation: Invitation, *, name: str, password: str) -> User:
    """Make the account; an empty password means mailed codes. Raises InvitationClosed, AlreadyTied."""
    try:
        with transaction.atomic():
            user = User.objects.create_user(email=invitation.email, password=password or None, name=name)
            # The link came by mail, which shows that the address is theirs.
            EmailAddress.objects.create(user=user, email=user.email, primary=True, verified=True)
            _take_up(invitation, user)
    except IntegrityError as error:
        raise InvitationClosed from error
    return user


def accept_as(invitation: Invitation, user: User) -> None:
    """Give the role to an account that was there before. Raises InvitationClosed, AlreadyTied."""
    with transaction.atomic():
        _take_up(invitation, user)


def _take_up(invitation: Invitation, user: User) -> None:
    if not invitation.claim():
        raise InvitationClosed
    record(Event.Kind.INVITATION_USED, invitation, by=user.pk)
    student = invitation.student
    if student and invitation.role == Role.STUDENT:
        untied = Student.objects.filter(pk=student.pk, user=None)
        if not untied.update(user=user) and student.user_id != user.pk:
            raise AlreadyTied
    elif student and invitation.role == Role.GUARDIAN:
        Guardianship.objects.get_or_create(guardian=user, student=student)
    user.grant(invitation.role)
    taken_up.send(sender=Invitation, invitation=invitation, user=user)
