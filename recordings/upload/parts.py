"""The pieces of an upload: kept in the storage of the sounds, put together on the disk once all are there.

In the storage and not in a folder of this machine, so that any web server can take the next piece.
"""

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Protocol

from django.core.files.uploadedfile import TemporaryUploadedFile
from django.db import transaction
from django.db.models.signals import post_delete
from django.dispatch import receiver
from django.http import UnreadablePostError

from recordings.models import Upload, UploadPart
from recordings.upload.room import is_no_room
from recordings.upload.stored import CHUNK, NoRoom, put
from repertoire.models import delete_for_good

# The protocol demands sha1; our own page sends sha256.
ALGORITHMS = ("sha256", "sha1")


class WrongBytes(Exception):
    """What came is not what was said to come."""


class Moved(Exception):
    """Another request has gone on with this upload meanwhile, or ended it."""


class Readable(Protocol):
    def read(self, size: int, /) -> bytes: ...


@dataclass(frozen=True, slots=True)
class Checksum:
    algorithm: str  # one of ALGORITHMS
    digest: bytes


def keep_part(upload: Upload, body: Readable, *, most: int, checksum: Checksum | None) -> None:
    """Read up to `most` bytes, store them and move the offset on; with an exception nothing has changed."""
    start = upload.offset
    with _temporary() as file:
        try:
            size, digests = _copy(body, file, most)
        except OSError as error:
            if is_no_room(error):
                raise NoRoom from error
            raise
        if checksum and digests[checksum.algorithm] != checksum.digest:
            raise WrongBytes
        if size:
            _store(upload, file, start, size, digests["sha256"].hex())


def _store(upload: Upload, file: TemporaryUploadedFile, start: int, size: int, sha256: str) -> None:
    file.size = size
    file.seek(0)
    part = UploadPart(upload=upload, start=start, size=size)
    storage, name = part.file.storage, part.file.field.generate_filename(part, "part")
    part.file = put(storage, name, file, size=size, sha256=sha256)
    try:
        with transaction.atomic():
            row = Upload.objects.filter(pk=upload.pk, offset=start, take=None)
            if not row.update(offset=start + size):
                raise Moved
            part.save(force_insert=True)
    except Exception:
        storage.delete(part.file.name)
        raise
    upload.offset = start + size


def _copy(body: Readable, file: TemporaryUploadedFile, most: int) -> tuple[int, dict[str, bytes]]:
    sums = {name: hashlib.new(name, usedforsecurity=False) for name in ALGORITHMS}
    size = 0
    while size < most and (piece := _read(body, min(CHUNK, most - size))):
        file.write(piece)
        for one in sums.values():
            one.update(piece)
        size += len(piece)
    return size, {name: one.digest() for name, one in sums.items()}


def _read(body: Readable, most: int) -> bytes:
    """Nothing where the connection broke off: what came before it may stay if no sum says otherwise."""
    try:
        return body.read(most)
    except UnreadablePostError:
        return b""


@contextmanager
def whole(upload: Upload) -> Iterator[TemporaryUploadedFile]:
    """All of it as one file on this machine's disk.

    Raises WrongBytes where its hash is not the one said at the beginning or a piece is gone: the offset is
    then where it has to be sent again from.
    """
    with _temporary() as file:
        sha = hashlib.sha256()
        for part in upload.parts.order_by("start"):
            _append(upload, part, file, sha)
        if file.tell() != upload.size or sha.hexdigest() != upload.sha256:
            upload.go_back_to(0)
            raise WrongBytes
        file.size = upload.size
        file.name = upload.original_name
        file.seek(0)
        yield file


def _append(upload: Upload, part: UploadPart, file: TemporaryUploadedFile, sha) -> None:
    try:
        with part.file.open("rb") as stored:
            for piece in stored.chunks(CHUNK):
                file.write(piece)
                sha.update(piece)
    except FileNotFoundError as gone:
        upload.go_back_to(part.start)
        raise WrongBytes from gone
    except OSError as error:
        if is_no_room(error):
            raise NoRoom from error
        raise


def _temporary() -> TemporaryUploadedFile:
    return TemporaryUploadedFile("part", None, 0, None)


@receiver(post_delete, sender=UploadPart, dispatch_uid="recordings.delete_part")
def delete_part(sender, instance: UploadPart, **_kwargs) -> None:
    delete_for_good(instance.file)
