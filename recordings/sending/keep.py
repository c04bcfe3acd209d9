"""A file made for somebody who asked goes into the storage and ends its row."""

from pathlib import Path
from typing import Any

from django.core.files.base import File
from django.utils import timezone

from recordings.models import Bundle, OwnCopy
from recordings.upload.stored import CHUNK, counted_hash


def keep(row: Bundle | OwnCopy, worker: str, path: Path, **more: Any) -> bool:
    """Store the file made and end the row, while this worker still holds it; else the file goes again."""
    storage, field = row.file.storage, row.file.field
    with path.open("rb") as file:
        size, sha256 = counted_hash(iter(lambda: file.read(CHUNK), b""))
        file.seek(0)
        name = storage.save(field.generate_filename(row, "made"), File(file))
    kept = row.held_by(worker).update(
        state=row.State.DONE,
        file=name,
        size=size,
        sha256=sha256,
        made_at=timezone.now(),
        progress_percent=100,
        failure="",
        **more,
    )
    if not kept:
        storage.delete(name)
    return bool(kept)
