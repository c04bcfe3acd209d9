"""Files made of takes go with them: nothing of a deleted take lives on in a bundle."""

import logging

from django.core.files.storage import default_storage
from django.db import transaction
from django.db.models.signals import post_delete
from django.dispatch import receiver
from django.utils import timezone

from recordings.models import Bundle, Take
from recordings.upload.left_behind import UNCLAIMED_AGE, names_below

log = logging.getLogger(__name__)


@receiver(post_delete, sender=Take, dispatch_uid="recordings.delete_bundle_of_take")
def delete_bundle(sender, instance: Take, **_kwargs) -> None:
    Bundle.objects.filter(entry=instance.entry_id).delete()


@receiver(post_delete, sender=Bundle, dispatch_uid="recordings.delete_bundle_file")
def delete_file(sender, instance: Bundle, **_kwargs) -> None:
    storage, name = instance.file.storage, instance.file.name
    if name:
        transaction.on_commit(lambda: storage.delete(name))


def sweep_files() -> int:
    """Delete files in the storage that a killed worker left without a row; how many there were."""
    # The files first, the rows second: what is stored in between is claimed, never the other way about.
    kept = list(names_below("bundles"))
    claimed = set(Bundle.objects.values_list("file", flat=True))
    before = timezone.now() - UNCLAIMED_AGE
    stale = [
        name for name in kept if name not in claimed and default_storage.get_modified_time(name) < before
    ]
    for name in stale:
        default_storage.delete(name)
        log.warning("Files made for sending without a row were deleted.")
    return len(stale)
