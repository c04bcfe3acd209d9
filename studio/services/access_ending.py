"""A person's access ends: a role is taken away, an account is closed, a guardianship is over."""

from django.db import transaction

from studio.models import CalendarFeed, Event, Guardianship, Handover, Invitation, Role, RoleGrant, User
from studio.services.events import record
from studio.services.sign_ins import end_sign_ins


class LastDirector(Exception):
    """Without this person nobody could look after the studio."""


@transaction.atomic
def end_role(grant: RoleGrant) -> None:
    """Take the role away and close any link that would give it back; raises LastDirector."""
    if grant.role == Role.DIRECTOR:
        _another_director_stays(grant.user)
    _close_links(grant.user, Invitation.objects.filter(role=grant.role))
    grant.delete()
    if grant.role == Role.TEACHER:
        _end_standing_in(grant.user)


@transaction.atomic
def close_account(user: User) -> None:
    """The person can no longer sign in and is signed out everywhere; raises LastDirector."""
    if user.is_director:
        _another_director_stays(user)
    user.is_active = False
    user.save(update_fields=["is_active"])
    record(Event.Kind.ACCOUNT_CLOSED, user)
    _close_links(user, Invitation.objects.all())
    CalendarFeed.objects.filter(user=user).delete()
    _end_standing_in(user)
    end_sign_ins(user)


@transaction.atomic
def open_account(user: User) -> None:
    user.is_active = True
    user.save(update_fields=["is_active"])
    record(Event.Kind.ACCOUNT_OPENED, user)


@transaction.atomic
def end_guardianship(tie: Guardianship) -> None:
    """The child is no longer seen by this guardian, whose agreement to recording ends with it."""
    guardian, student = tie.guardian, tie.student
    for consent in student.consents.filter(given_by=guardian, withdrawn_at=None):
        consent.withdraw()
    _close_links(guardian, Invitation.objects.filter(role=Role.GUARDIAN, student=student))
    tie.delete()
    if not guardian.guardianships.exists():
        guardian.roles.filter(role=Role.GUARDIAN).delete()


def _another_director_stays(user: User) -> None:
    """Grants are locked in one order, so that two directors cannot take each other away at once."""
    list(RoleGrant.objects.select_for_update().filter(role=Role.DIRECTOR).order_by("pk"))
    if not User.objects.with_role(Role.DIRECTOR).exclude(pk=user.pk).exists():
        raise LastDirector


def _end_standing_in(user: User) -> None:
    """Nobody who is away is to believe that their students are still heard by this person."""
    for handover in Handover.objects.filter(colleague=user):
        if handover.end():
            record(Event.Kind.HANDOVER_ENDED, handover.teacher)


def _close_links(user: User, invitations) -> None:
    for invitation in invitations.open().filter(email=user.email.lower()):
        invitation.withdraw()
