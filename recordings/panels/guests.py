"""Listeners from outside: invited for one panel, and gone with it."""

from django.db import transaction
from django.db.models import Q
from django.dispatch import receiver

from recordings.models import Panel, PanelListener
from recordings.panels.asked import tell_listener
from recordings.panels.draw import deal
from studio.models import Invitation, Role, User
from studio.services.access_ending import close_account, open_account
from studio.services.invitations import invite, taken_up


@transaction.atomic
def add_listener(panel: Panel, *, name: str, email: str, by: User) -> PanelListener:
    """A teacher of the studio listens at once; anybody else is invited and gets a seat on coming."""
    holder = User.objects.with_address(email)
    if holder and holder.is_teacher:
        listener = PanelListener.objects.create(panel=panel, user=holder)
        deal(panel)
        tell_listener(listener)
        return listener
    if holder and not holder.is_active and holder.is_only_guest:
        # Closed with an earlier panel; without it nobody could sign in to take this invitation up.
        open_account(holder)
    asked_before = Invitation.objects.open().filter(email=email, role=Role.GUEST)
    waiting = list(PanelListener.objects.filter(invitation__in=asked_before).values_list("pk", flat=True))
    invitation = invite(email=email, name=name, role=Role.GUEST, invited_by=by)
    # The new link stands in place of the open one, so it opens the panels of that one too.
    PanelListener.objects.filter(pk__in=waiting).update(invitation=invitation)
    return PanelListener.objects.create(panel=panel, invitation=invitation, invited_name=name)


@receiver(taken_up, dispatch_uid="recordings.seat_guest")
def seat_guest(sender, invitation: Invitation, user: User, **_kwargs) -> None:
    """From now on the guest hears the panels the invitation was for."""
    waiting = PanelListener.objects.filter(invitation=invitation, user=None, panel__closed_at=None)
    for listener in waiting.select_related("panel"):
        listener.user = user
        listener.save(update_fields=["user"])
        deal(listener.panel)


def end_guests(panel: Panel) -> None:
    """Close the accounts of those who are here for nothing else, and every link that was not taken up."""
    for listener in panel.listeners.exclude(invitation=None).select_related("user", "invitation"):
        _end_guest(listener)


class HasMarked(Exception):
    """What a listener has written stays until the closing."""


@transaction.atomic
def remove_listener(listener: PanelListener) -> None:
    """Take a listener out who has written nothing; raises HasMarked. What only they heard is dealt anew."""
    written = Q(marks__isnull=False) | ~Q(remark="")
    if listener.sheets.filter(written).exists():
        raise HasMarked
    panel = listener.panel
    listener.delete()
    if listener.invitation_id is not None:
        _end_guest(listener)
    deal(panel)


def _end_guest(listener: PanelListener) -> None:
    """Nothing, where the link or the account is still for another open panel."""
    invitation, user = listener.invitation, listener.user
    elsewhere = PanelListener.objects.filter(invitation=invitation, panel__closed_at=None)
    if invitation and invitation.is_open() and not elsewhere.exists():
        invitation.withdraw()
    if user is None or user.panel_seats.filter(panel__closed_at=None).exists():
        return
    if user.is_only_guest:
        close_account(user)
    else:
        user.roles.filter(role=Role.GUEST).delete()
