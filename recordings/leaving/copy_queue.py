"""Asking for a student's copy of everything, and how long it lies here."""

from functools import partial

from django.core.files.storage import default_storage
from django.db import transaction
from django.db.models.signals import post_delete
from django.dispatch import receiver
from django.utils.translation import get_language

from recordings.jobs import files
from recordings.models import OwnCopy, Take
from recordings.upload.left_behind import UNCLAIMED_AGE, unclaimed
from repertoire.models import delete_for_good
from studio.models import Event, Student, User
from studio.services.events import record
from studio.setup.messages import tell_workers

COPY_TASK = "recordings.make_own_copy"


@transaction.atomic
def ask_for(student: Student, by: User) -> None:
    """Have it made anew; the one made before goes."""
    # Two who ask at the same moment stand in line: a student has one copy.
    Student.objects.select_for_update().get(pk=student.pk)
    OwnCopy.objects.filter(student=student).delete()
    row = OwnCopy.objects.create(student=student, asked_by=by, language=get_language() or "")
    record(Event.Kind.EXPORTED, student, by=by.pk)
    transaction.on_commit(partial(tell_workers, COPY_TASK, row.pk))


def sweep() -> list[int]:
    return files.sweep(OwnCopy, COPY_TASK)


def forget_old() -> int:
    """Delete copies whose days are over, and files a killed worker left; how many copies there were."""
    for name in unclaimed("copies", OwnCopy.objects.values_list("file", flat=True), older_than=UNCLAIMED_AGE):
        default_storage.delete(name)
    expired = list(OwnCopy.objects.expired())
    for row in expired:
        row.delete()
    return len(expired)


@receiver(post_delete, sender=OwnCopy, dispatch_uid="recordings.delete_own_copy_file")
def delete_file(sender, instance: OwnCopy, **_kwargs) -> None:
    delete_for_good(instance.file)


@receiver(post_delete, sender=Take, dispatch_uid="recordings.delete_own_copy_of_take")
def delete_copy(sender, instance: Take, **_kwargs) -> None:
    """Nothing of a deleted take lives on in a copy."""
    OwnCopy.objects.filter(student__entries=instance.entry_id).delete()
