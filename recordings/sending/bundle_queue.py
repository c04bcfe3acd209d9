"""Asking for an entry's files."""

from functools import partial

from django.db import transaction

from recordings.jobs import files
from recordings.models import Bundle
from studio.models import Entry, User
from studio.setup.messages import tell_workers

BUNDLE_TASK = "recordings.make_bundle"


@transaction.atomic
def ask_for(entry: Entry, by: User) -> None:
    """Have the files made anew; those made before go."""
    # Two who ask at the same moment stand in line: an entry has one bundle.
    Entry.objects.select_for_update().get(pk=entry.pk)
    Bundle.objects.filter(entry=entry).delete()
    bundle = Bundle.objects.create(entry=entry, asked_by=by)
    transaction.on_commit(partial(tell_workers, BUNDLE_TASK, bundle.pk))


def sweep() -> list[int]:
    return files.sweep(Bundle, BUNDLE_TASK)
