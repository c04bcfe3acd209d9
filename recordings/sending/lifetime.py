"""Files made of takes go with them: nothing of a deleted take lives on in a bundle."""

import logging

from django.core.files.storage import default_storage
from django.db.models.signals import post_delete
from django.dispatch import receiver

from recordings.models import Bundle, Take
from recordings.upload.left_behind import UNCLAIMED_AGE, unclaimed
from repertoire.models import delete_for_good

log = logging.getLogger(__name__)


@receiver(post_delete, sender=Take, dispatch_uid="recordings.delete_bundle_of_take")
def delete_bundle(sender, instance: Take, **_kwargs) -> None:
    Bundle.objects.filter(entry=instance.entry_id).delete()


@receiver(post_delete, sender=Bundle, dispatch_uid="recordings.delete_bundle_file")
def delete_file(sender, instance: Bundle, **_kwargs) -> None:
    delete_for_good(instance.file)


def sweep_files() -> int:
    """Delete files in the storage that a killed worker left without a row; how many there were."""
    stale = unclaimed("bundles", Bundle.objects.values_list("file", flat=True), older_than=UNCLAIMED_AGE)
    for name in stale:
        default_storage.delete(name)
        log.warning("Files made for sending without a row were deleted.")
    return len(stale)
