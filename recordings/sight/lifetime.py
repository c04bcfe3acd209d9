"""How long the take of an exercise stays: the studio's days for practice takes, or until it is removed.

The exercise itself stays with its student, so that it never comes a second time.
"""

from datetime import timedelta

from django.core.files.storage import default_storage
from django.db import transaction
from django.db.models.signals import post_delete
from django.dispatch import receiver
from django.utils import timezone

from recordings.models import SightReading
from recordings.upload.left_behind import unclaimed
from repertoire.models import delete_for_good
from studio.models import Studio

UNCLAIMED_AGE = timedelta(days=1)


@transaction.atomic
def remove_take(reading: SightReading) -> None:
    """The sound and all that was measured on it go for good."""
    delete_for_good(reading.sound)
    removed = SightReading.State.REMOVED
    SightReading.objects.filter(pk=reading.pk).update(
        sound="", size=0, state=removed, result=None, failure="", handed_at=None
    )


def delete_expired(at=None) -> int:
    """Remove every take older than the studio's days; how many there were."""
    oldest = (at or timezone.now()) - timedelta(days=Studio.current().practice_days)
    expired = list(SightReading.objects.sounding().filter(played_at__lt=oldest).defer("result"))
    for reading in expired:
        remove_take(reading)
    return len(expired)


def sweep_unclaimed() -> int:
    """Delete sounds that no row names, as a killed process can leave them; how many there were."""
    old = unclaimed("sight", SightReading.objects.values_list("sound", flat=True), older_than=UNCLAIMED_AGE)
    for name in old:
        default_storage.delete(name)
    return len(old)


@receiver(post_delete, sender=SightReading, dispatch_uid="recordings.delete_sight_sound")
def delete_sound(sender, instance: SightReading, **_kwargs) -> None:
    """The sound goes with its row, and so with its student."""
    delete_for_good(instance.sound)
