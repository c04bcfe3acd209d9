"""The one take of an exercise comes in: looked at, hashed, stored, and put before the workers."""

from django.core.files.base import File
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from recordings.models import SightReading
from recordings.sight.queue import request_measuring
from recordings.upload.probe import NotSound, probe
from recordings.upload.receive import (
    MOST_UNMEASURED,
    NoRecording,
    Refused,
    not_agreed,
    path_of,
    still_measured,
)
from recordings.upload.stored import CHUNK, NoRoom, counted_hash, put


def receive(reading: SightReading, file: File) -> bool:
    """Store `file` as its take; False where this very file is there already.

    Raises Refused or NotNow with a sentence, and NoRoom where the disk is full.
    """
    if not reading.student.may_record:
        raise Refused(not_agreed(reading.student))
    file.seek(0)
    count, sha256 = counted_hash(file.chunks(CHUNK))
    if count != file.size:
        raise NoRoom
    if reading.sha256 == sha256:
        return False
    if not reading.may_be_played:
        raise Refused(_had_its_take())
    waiting = SightReading.objects.waiting().filter(student=reading.student)
    if waiting.count() >= MOST_UNMEASURED:
        raise Refused(still_measured())
    try:
        kind = probe(path_of(file))
    except NotSound as trouble:
        raise NoRecording(str(trouble)) from trouble
    file.seek(0)
    storage, name = reading.sound.storage, reading.sound.field.generate_filename(reading, "take")
    stored = put(storage, name, file, size=count, sha256=sha256)
    if not _keep(reading, stored, size=count, sha256=sha256, media_type=kind.media_type):
        storage.delete(stored)
        if SightReading.objects.filter(pk=reading.pk, sha256=sha256).exists():
            return False
        raise Refused(_had_its_take())
    return True


def _had_its_take() -> str:
    return _("This exercise has had its one take. Please make a new one.")


@transaction.atomic
def _keep(reading: SightReading, stored: str, **facts) -> bool:
    """Of two that come at once the first stays."""
    unplayed = SightReading.objects.filter(pk=reading.pk, state=SightReading.State.UNPLAYED)
    waiting = SightReading.State.WAITING
    kept = unplayed.update(sound=stored, state=waiting, played_at=timezone.now(), **facts)
    if kept:
        request_measuring(reading.pk)
    return bool(kept)
