"""A backup while people work: sounds, then the database, then the sounds that came in between.

So every row of the copied database finds its sound in the backup, but for takes deleted before their sound
was reached: the manifest names the files that are really lost, so a restore deletes those takes too. The
folder holds one backup and can be used again: what lies there whole is not copied twice, and until the new
manifest is written the old one holds.
"""

import fcntl
import os
import tempfile
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
from recordings.backup.box import Box
from recordings.backup.manifest import NAME, Kept, Manifest, key_mark
from recordings.backup.trouble import BackupTrouble
from recordings.models import Take
from recordings.upload.left_behind import names_below
from repertoire.models import Attachment

# Pieces of uploads are no takes yet; who sends them has them still. A copy for a family is made again.
NOT_KEPT = ("parts/", "copies/")


@dataclass(slots=True)
class Report:
    """What came of it, for the person at the terminal."""

    files: int = 0
    bytes: int = 0
    seconds: float = 0.0
    missing: list[str] = field(default_factory=list)
    changed: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Row:
    """A row that names a file: what it is called here, and what was handed in, where that is known."""

    name: str
    file: str
    handed_in: Kept | None = None

    def differs_from(self, kept: Kept | None) -> bool:
        return bool(self.handed_in and kept and kept != self.handed_in)


def back_up(folder: Path, box: Box | None = None) -> Report:
    """Make `folder` the backup of this studio, its files as `box` keeps them; raises BackupTrouble."""
    began, box = time.monotonic(), box or Box()
    with _alone_in(folder):
        kept = _keep_files(folder, box, {}, _rows())
        manifest, rows = _dump(folder, box), _rows()
        manifest.files = _keep_files(folder, box, kept, rows)
        lost = _lost(rows, manifest.files)
        manifest.lost = [row.file for row in lost]
        manifest.write(folder)
        _leave_only(folder, manifest)
    report = Report(files=len(manifest.files), bytes=sum(one.size for one in manifest.files.values()))
    report.missing = [row.name for row in lost]
    report.changed = [row.name for row in rows if row.differs_from(manifest.files.get(row.file))]
    report.seconds = time.monotonic() - began
    return report


def refuse_inside(path: Path, folder: Path) -> None:
    """With a key beside what it opens, whoever finds the backup can read it all."""
    if path.resolve().is_relative_to(folder.resolve()):
        raise BackupTrouble("The key must not lie in the backup itself. Name another place, on another disk.")


def write_key(path: Path, folder: Path) -> None:
    """SECRET_KEY, for itself alone."""
    refuse_inside(path, folder)
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


def _rows() -> list[Row]:
    """Every row now that names a file."""
    takes = Take.objects.values_list("pk", "sound", "size", "sha256")
    rows = [Row(f"take {pk}", sound, Kept(size, sha256)) for pk, sound, size, sha256 in takes]
    return rows + [Row(f"page {pk}", file) for pk, file in Attachment.objects.values_list("pk", "file")]


def _keep_files(folder: Path, box: Box, known: dict[str, Kept], rows: list[Row]) -> dict[str, Kept]:
    """What the storage holds and what rows name, copied as far as it is not in `known`.

    A sound lost since the last backup into this folder has its only copy there, so rows are asked too. And
    what went since the first look stays: the database may have been copied before its row went.
    """
    expected = {row.file: row.handed_in for row in rows}
    kept = dict(known)
    for name in {*names_below(), *expected} - {""}:
        if name.startswith(NOT_KEPT):
            continue
        if name not in kept and (found := files.keep(name, folder, box, expected=expected.get(name))):
            kept[name] = found
    return kept


def _lost(rows: list[Row], kept: dict[str, Kept]) -> list[Row]:
    """Rows that stand although their file is nowhere; what was deleted while this ran is not lost."""
    without = [row for row in rows if row.file not in kept]
    stand = {row.file for row in _rows()} if without else set()
    return [row for row in without if row.file in stand]


def _dump(folder: Path, box: Box) -> Manifest:
    engine, now = database.engine(), timezone.now()
    name = f"database-{now:%Y%m%dT%H%M%S%f}.{engine.suffix}"
    # Beside the database itself first: no bare copy of it ever lies on the disk of the backup.
    with tempfile.TemporaryDirectory(prefix="backup-", dir=settings.DATA_DIR) as near:
        engine.dump(Path(near) / name)
        with (Path(near) / name).open("rb") as dumped:
            files.write(dumped, folder / name, box)
    return Manifest(
        sealed_with=box.mark,
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
