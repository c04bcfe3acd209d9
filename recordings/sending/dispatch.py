"""Marking an entry as sent, with what was sent and what the body answered; and taking that back."""

from dataclasses import asdict

from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from recordings.models import Bundle, Dispatch
from recordings.sending.page import Standing
from studio.models import Event, User
from studio.services.events import record


def why_not_sent(standing: Standing) -> str:
    """The sentence saying why it cannot be marked as sent; empty where it can."""
    bundle = standing.bundle
    if standing.dispatch:
        return _("This entry is marked as sent already.")
    if not standing.entry.student.may_record:
        return _("No guardian's agreement stands, so nothing can be sent.")
    if bundle is None or bundle.state != Bundle.State.DONE or standing.is_outdated:
        return _("Please make the files first, so that it is kept what was sent.")
    return ""


def mark_sent(standing: Standing, by: User, confirmation: str) -> str:
    """A sentence (and nothing done) where it cannot be."""
    if reason := why_not_sent(standing):
        return reason
    points = [asdict(each.sentence) for each in (*standing.broken, *standing.left_open)]
    contents = standing.bundle.contents if standing.bundle else []
    try:
        with transaction.atomic():
            Dispatch.objects.create(
                entry=standing.entry,
                sent_by=by,
                confirmation=confirmation,
                contents=contents,
                open_points=points,
            )
            record(Event.Kind.SENT, standing.entry, by=by.pk)
    except IntegrityError:
        return _("This entry is marked as sent already.")
    return ""


@transaction.atomic
def take_back(standing: Standing, by: User) -> None:
    sent = Dispatch.objects.standing().filter(entry=standing.entry)
    if sent.update(taken_back_at=timezone.now(), taken_back_by=by):
        record(Event.Kind.NOT_SENT, standing.entry, by=by.pk)
