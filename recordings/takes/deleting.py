"""Deleting a take really deletes its sound, once the row is gone for good."""

from django.db import transaction
from django.db.models.signals import post_delete
from django.dispatch import receiver

from recordings.models import Take


@receiver(post_delete, sender=Take, dispatch_uid="recordings.delete_sound")
def delete_sound(sender, instance: Take, **_kwargs) -> None:
    storage, name = instance.sound.storage, instance.sound.name
    if name:
        transaction.on_commit(lambda: storage.delete(name))
