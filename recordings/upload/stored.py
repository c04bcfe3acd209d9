"""Bytes put into the storage and read again before anybody is told that they arrived."""

import contextlib
import hashlib
import os
from collections.abc import Iterator
from pathlib import Path

from django.core.files.base import File
from django.core.files.storage import Storage

from recordings.upload.room import is_no_room

CHUNK = 2**20


class NoRoom(Exception):
    """The storage had no room for all of it; nothing of it is left behind."""


def put(storage: Storage, name: str, file: File, *, size: int, sha256: str) -> str:
    """Store `file` under `name`, the name kept; raises NoRoom where not every byte is there afterwards.

    What lies there is counted, hashed and, in a folder, flushed to the disk together with its folder.
    """
    try:
        kept = storage.save(name, file)
    except OSError as error:
        with contextlib.suppress(OSError):
            storage.delete(name)
        if is_no_room(error):
            raise NoRoom from error
        raise
    if lies_there(storage, kept, size=size, sha256=sha256):
        return kept
    storage.delete(kept)
    raise NoRoom


def lies_there(storage: Storage, name: str, *, size: int, sha256: str) -> bool:
    """Whether these very bytes can be read back."""
    _flush(storage, name)
    with storage.open(name, "rb") as stored:
        return counted_hash(stored.chunks(CHUNK)) == (size, sha256)


def counted_hash(chunks: Iterator[bytes]) -> tuple[int, str]:
    """Number of bytes and SHA-256 of them all."""
    count, sha = 0, hashlib.sha256()
    for chunk in chunks:
        count += len(chunk)
        sha.update(chunk)
    return count, sha.hexdigest()


def _flush(storage: Storage, name: str) -> None:
    try:
        path = Path(storage.path(name))
    except NotImplementedError:
        return
    for target in (path, path.parent):
        number = os.open(target, os.O_RDONLY)
        try:
            os.fsync(number)
        finally:
            os.close(number)
