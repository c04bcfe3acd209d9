"""A take comes in: checked, hashed, stored once, and put before the workers in the same transaction."""

import re
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path, PurePath

from django.conf import settings
from django.core.files.base import File
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext_lazy as _

from recordings.jobs.queue import request_measuring
from recordings.models import Analysis, Take
from recordings.upload.probe import BrokenOff, NotSound, probe
from recordings.upload.stored import CHUNK, NoRoom, counted_hash, put
from studio.models import Entry, Notice, Requirement, Student, User
from studio.services.notices import tell

# More than anybody plays while the last ones are measured: a list that grows is a slip or an attack.
MOST_UNMEASURED = 20  # of one entry, and of one student's exercises


class Refused(Exception):
    """A take that cannot be accepted; the message is one sentence for the person."""


class NoRecording(Refused):
    """The file itself will never do, however often it is sent."""


@dataclass(frozen=True, slots=True)
class Received:
    take: Take
    is_new: bool  # False where this very file had been handed in for the requirement before


def why_not_now(entry: Entry, student: Student, at=None) -> str:
    """The sentence saying why no take may be handed in for `entry` now; empty where one may."""
    if entry.is_closed(at):
        closed = timezone.localtime(entry.closes_at)
        return str(
            _("This audition closed on %(when)s, so no more takes can be handed in.")
            % {"when": date_format(closed, str(_("j F Y, H:i")))}
        )
    if not student.may_record:
        return not_agreed(student)
    if Analysis.objects.unfinished().filter(take__entry=entry).count() >= MOST_UNMEASURED:
        return still_measured()
    return ""


def still_measured() -> str:
    return str(_("Your last takes are still being measured; hand in the next one when they are done."))


def not_agreed(student: Student) -> str:
    """The sentence for a student whose guardian has not agreed to recording, or no longer does."""
    withdrawn = Take.objects.filter(entry__student=student).exists()
    first = (
        _("Before the next take, a parent or guardian has to agree to recording again.")
        if withdrawn
        else _("Before the first take, a parent or guardian has to agree to recording.")
    )
    where = _("They find the agreement on the page of their child; the studio can send them an invitation.")
    return f"{first} {where}"


def too_large() -> str:
    limit = _("This file is larger than %(mb)s MB. Please send a shorter or smaller recording.")
    return str(limit % {"mb": settings.TAKE_MAX_MB})


def receive_take(
    *,
    entry: Entry,
    requirement: Requirement,
    file: File,
    by: User | None,
    counts_at: datetime | None = None,
) -> Received:
    """Store `file` as a take of `requirement` and queue its analysis.

    Raises Refused or NotNow with a sentence, and NoRoom where the disk is full.

    `file` lies on disk: an upload in the temporary folder, or a `File` opened from a path. It counts as
    handed in now, or at `counts_at`.
    """
    if reason := why_not_now(entry, entry.student, counts_at):
        raise Refused(reason)
    file.seek(0)
    count, sha256 = counted_hash(file.chunks(CHUNK))
    if count != file.size:
        # The temporary file holds less than came in: its disk was full before the last bytes.
        raise NoRoom
    known = Take.objects.filter(entry=entry, requirement=requirement, sha256=sha256)
    if take := known.first():
        return Received(take, is_new=False)
    try:
        kind = probe(path_of(file))
    except BrokenOff as trouble:
        raise Refused(str(trouble)) from trouble
    except NotSound as trouble:
        raise NoRecording(str(trouble)) from trouble
    take = Take(
        entry=entry,
        requirement=requirement,
        uploaded_by=by,
        uploaded_at=counts_at or timezone.now(),
        sha256=sha256,
        size=file.size,
        media_type=kind.media_type,
        original_name=_plain_name(file.name),
    )
    return _store(take, file, known)


def _store(take: Take, file: File, known) -> Received:
    """Bytes first, rows second: rows never point at nothing, and bytes without rows are taken away again."""
    file.seek(0)
    storage, name = take.sound.storage, take.sound.field.generate_filename(take, "take")
    take.sound = put(storage, name, file, size=take.size, sha256=take.sha256)
    try:
        with transaction.atomic():
            take.save(force_insert=True)
            request_measuring(Analysis.objects.create(take=take))
            address = reverse("take_detail", args=[take.pk])
            tell(Notice.Kind.TAKE, take.entry.student, about=f"take {take.pk}", path=address)
    except IntegrityError:
        take.sound.delete(save=False)
        if same := known.first():
            return Received(same, is_new=False)
        raise
    except Exception:
        take.sound.delete(save=False)
        raise
    return Received(take, is_new=True)


def path_of(file: File) -> Path:
    """Where the upload handler has put it: on disk under a temporary name, or the file opened by name."""
    return Path(file.temporary_file_path() if hasattr(file, "temporary_file_path") else str(file.name))


def _plain_name(name: str | None) -> str:
    """The last part of the file's name without control characters, for the person to recognise it by."""
    return re.sub(r"[\x00-\x1f\x7f]", "", PurePath(name or "").name)[:200]
