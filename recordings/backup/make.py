"""A backup while people work: sounds, then the database, then the sounds that came in between.

So every row of the copied database finds its sound in the backup. The folder holds one backup and can be used
again: what lies there whole is not copied twice, and until the new manifest is written the old one holds.
"""

import fcntl
import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from django.conf import settings
from django.core.files.storage import default_storage
from django.db import connection
from django.utils import timezone

from recordings.backup import database, files
from recordings.backup.manifest import NAME, Kept, Manifest, key_mark
from recordings.backup.trouble import BackupTrouble
from recordings.models import Take
from repertoire.models import Attachment


@dataclass(slots=True)
class Report:
    """What came of it, for the person at the terminal."""

    files: int = 0
    bytes: int = 0
    seconds: float = 0.0
    missing: list[str] = field(default_factory=list)
    changed: list[str] = field(default_factory=list)


def back_up(folder: Path) -> Report:
    """Make `folder` the backup of this studio; raises BackupTrouble."""
    began = time.monotonic()
    with _alone_in(folder):
        kept = _keep_files(folder, {})
        manifest = _dump(folder)
        manifest.files = _keep_files(folder, kept)
        manifest.write(folder)
        _leave_only(folder, manifest)
    report = Report(files=len(manifest.files), bytes=sum(one.size for one in manifest.files.values()))
    report.missing, report.changed = _compare(manifest.files)
    report.seconds = time.monotonic() - began
    return report


def write_key(path: Path, folder: Path) -> None:
    """The key, for itself alone: with it beside the database, whoever finds the backup can read it all."""
    if path.resolve().is_relative_to(folder.resolve()):
        raise BackupTrouble("The key must not lie in the backup itself. Name another place, on another disk.")
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    number = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(number, "w") as file:
        file.write(settings.SECRET_KEY)


@contextmanager
def _alone_in(folder: Path) -> Iterator[None]:
    _refuse_foreign(folder)
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    with (folder / "lock").open("w") as door:
        try:
            fcntl.flock(door, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            raise BackupTrouble("Another backup into this folder is at work. Wait for its end.") from error
        yield


def _refuse_foreign(folder: Path) -> None:
    ours = {NAME, files.FOLDER, "lock"}
    if folder.exists() and any(folder.iterdir()) and not ours & {path.name for path in folder.iterdir()}:
        raise BackupTrouble(
            f"{folder} holds something else. Name an empty folder, or one of an earlier backup."
        )
    try:
        sounds = Path(default_storage.path("")).resolve()
    except NotImplementedError:
        return
    if folder.resolve().is_relative_to(sounds):
        raise BackupTrouble("The backup must not lie among the sounds. Name a folder on another disk.")


def _keep_files(folder: Path, known: dict[str, Kept]) -> dict[str, Kept]:
    """What the storage holds and what rows name, copied as far as it is not in `known`.

    A sound lost since the last backup into this folder has its only copy there, so rows are asked too. And
    what went since the first look stays: the database may have been copied before its row went.
    """
    takes = Take.objects.values_list("sound", "size", "sha256")
    expected = {name: Kept(size, sha256) for name, size, sha256 in takes}
    kept = dict(known)
    pages = Attachment.objects.values_list("file", flat=True)
    for name in {*files.names_in(default_storage), *expected, *pages} - {""}:
        # Pieces of uploads are no takes yet; who sends them has them still.
        if name.startswith("parts/"):
            continue
        if name not in kept and (found := files.keep(name, folder, expected=expected.get(name))):
            kept[name] = found
    return kept


def _dump(folder: Path) -> Manifest:
    engine, now = database.engine(), timezone.now()
    name = f"database-{now:%Y%m%dT%H%M%S%f}.{engine.suffix}"
    engine.dump(folder / name)
    return Manifest(
        made_at=now.isoformat(),
        engine=connection.vendor,
        database=name,
        database_sha256=database.sha256_of(folder / name),
        key=key_mark(),
        migrations=database.applied_migrations(),
    )


def _leave_only(folder: Path, manifest: Manifest) -> None:
    files.prune(folder, set(manifest.files))
    for path in folder.glob("database-*"):
        if path.name != manifest.database:
            path.unlink()


def _compare(kept: dict[str, Kept]) -> tuple[list[str], list[str]]:
    """Rows whose sound or page is not in the backup, and takes whose sound is not what was handed in."""
    missing, changed = [], []
    for pk, name, size, sha256 in Take.objects.values_list("pk", "sound", "size", "sha256"):
        if name not in kept:
            missing.append(f"take {pk}")
        elif kept[name] != Kept(size, sha256):
            changed.append(f"take {pk}")
    pages = Attachment.objects.values_list("pk", "file")
    missing += [f"page {pk}" for pk, name in pages if name not in kept]
    return missing, changed
