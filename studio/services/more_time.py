"""More time for one student or for several: given with a reason, taken back, and written into the record."""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from studio.models import Entry, Event, User
from studio.services.events import record


@transaction.atomic
def give(entries: Iterable[Entry], *, until: datetime, reason: str, by: User) -> int:
    """Every deadline of these entries, and their closing time, that lies before `until` moves to it."""
    chosen = list(entries)
    Entry.objects.filter(pk__in=[entry.pk for entry in chosen]).update(
        extended_until=until, extension_reason=reason, extended_by=by, extended_at=timezone.now()
    )
    for entry in chosen:
        record(Event.Kind.MORE_TIME, entry)
    return len(chosen)


@transaction.atomic
def take_back(entry: Entry) -> bool:
    """The studio's own dates hold again; False where there was nothing to take back."""
    had = Entry.objects.filter(pk=entry.pk, extended_until__isnull=False)
    gone = had.update(extended_until=None, extension_reason="", extended_by=None, extended_at=None)
    if gone:
        record(Event.Kind.NO_MORE_TIME, entry)
    return bool(gone)
