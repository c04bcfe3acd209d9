"""Files made of takes go with them: nothing of a deleted take lives on in a bundle."""

from django.db import transaction
from django.db.models.signals import post_delete
from django.dispatch import receiver

from recordings.models import Bundle, Take


@receiver(post_delete, sender=Take, dispatch_uid="recordings.delete_bundle_of_take")
def delete_bundle(sender, instance: Take, **_kwargs) -> None:
    Bundle.objects.filter(entry=instance.entry_id).delete()


@receiver(post_delete, sender=Bundle, dispatch_uid="recordings.delete_bundle_file")
def delete_file(sender, instance: Bundle, **_kwargs) -> None:
    storage, name = instance.file.storage, instance.file.name
    if name:
        transaction.on_commit(lambda: storage.delete(name))
