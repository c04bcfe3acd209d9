"""Asking for an entry's files and telling the workers: the row is the job, as with takes to be measured."""

from django.db import transaction

from recordings.models import Bundle
from recordings.models.bundle import MOST_ATTEMPTS, SILENT_AFTER
from studio.models import Entry, User
from studio.models.database_clock import from_now
from studio.setup.messages import tell_workers

BUNDLE_TASK = "recordings.make_bundle"


@transaction.atomic
def ask_for(entry: Entry, by: User) -> None:
    """Have the files made anew; those made before go."""
    # Two who ask at the same moment stand in line: an entry has one bundle.
    Entry.objects.select_for_update().get(pk=entry.pk)
    Bundle.objects.filter(entry=entry).delete()
    bundle = Bundle.objects.create(entry=entry, asked_by=by)
    transaction.on_commit(lambda: send(bundle.pk))


def send(bundle_id: int) -> None:
    tell_workers(BUNDLE_TASK, bundle_id)


def sweep() -> list[int]:
    """Send again for those whose message or worker was lost."""
    unfinished = Bundle.objects.filter(state__in=[Bundle.State.WAITING, Bundle.State.RUNNING])
    stalled = unfinished.filter(heartbeat_at__lt=from_now(-SILENT_AFTER))
    stalled.filter(attempts__gte=MOST_ATTEMPTS).update(state=Bundle.State.FAILED)
    due = list(stalled.filter(attempts__lt=MOST_ATTEMPTS).values_list("pk", flat=True))
    for bundle_id in due:
        send(bundle_id)
    return due
