"""A backup put back: sounds first, since that can be taken up again, then the database, then a look at both.

Nothing is written over: the database must be empty, and a file that lies there with other bytes stays.
"""

import os
import shutil
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.db import connection, connections

from recordings.backup import database, files
from recordings.backup.box import Box
from recordings.backup.manifest import Manifest, key_mark
from recordings.backup.trouble import BackupTrouble
from recordings.models import Take
from recordings.upload.stored import CHUNK


@dataclass(slots=True)
class Restored:
    files: int = 0
    deleted: int = 0  # takes
    seconds: float = 0.0
    missing: list[str] = field(default_factory=list)  # not in the backup's folder
    spoiled: list[str] = field(default_factory=list)  # in the backup, but not as it was kept
    other: list[str] = field(default_factory=list)  # something else lies in the storage


_WRONG_SEAL = {
    True: "The files of this backup are sealed. Name the file with their key: --encrypt FILE.",
    False: "The files of this backup are not sealed: leave --encrypt out.",
}


def restore(folder: Path, box: Box | None = None, *, key: str = "", other_key: bool = False) -> Restored:
    """Put the backup in `folder` into the empty database and the storage; raises BackupTrouble.

    `key` is the SECRET_KEY kept apart; with `other_key` the one of this machine is kept although it differs.
    """
    began, manifest, box = time.monotonic(), Manifest.read(folder), box or Box()
    _refuse(folder, manifest, box)
    save_key = _key_to_save(manifest, key, other_key)
    report = _bring_back_files(folder, manifest, box)
    save_key()
    _bring_back_database(folder, manifest, box)
    connections.close_all()
    call_command("migrate", verbosity=0)
    report.deleted = _delete_what_was_deleted(manifest)
    report.seconds = time.monotonic() - began
    return report


def _refuse(folder: Path, manifest: Manifest, box: Box) -> None:
    if not database.is_empty():
        raise BackupTrouble(
            "The database here is not empty, and a restore writes over nothing. Set DATABASE_URL (or "
            "DATA_DIR) to an empty one, or put the old one aside first."
        )
    if manifest.engine != connection.vendor:
        raise BackupTrouble(
            f"This backup is of a database of {manifest.engine}, and DATABASE_URL names one of "
            f"{connection.vendor}. Set DATABASE_URL to an empty database of the same kind."
        )
    manifest.refuse_newer()
    if manifest.sealed_with != box.mark:
        raise BackupTrouble(_WRONG_SEAL[bool(manifest.sealed_with)])
    kept = folder / manifest.database
    if not kept.exists() or database.sha256_of(kept) != manifest.database_sha256:
        raise BackupTrouble("The database in this backup is missing or damaged. Use another backup.")


def _key_to_save(manifest: Manifest, key: str, other_key: bool) -> Callable[[], None]:
    """What puts the right key in place, once nothing can go wrong any more."""
    if key_mark() == manifest.key or other_key:
        return lambda: None
    if not key:
        raise BackupTrouble(
            "This backup was made with another SECRET_KEY. Set that one, or name the file it was kept in "
            "with --key FILE; only where it is lost for good, --other-key goes on without: all then sign in "
            "anew, and open invitations and waiting mails end."
        )
    if key_mark(key) != manifest.key:
        raise BackupTrouble("The key in this file is not the one the backup was made with.")
    if os.environ.get("SECRET_KEY"):
        raise BackupTrouble("The environment variable SECRET_KEY holds another key: set it to the kept one.")
    return lambda: _save_key(key)


def _save_key(key: str) -> None:
    place = Path(settings.DATA_DIR) / "secret_key"
    place.touch(mode=0o600)
    place.write_text(key)


def _bring_back_database(folder: Path, manifest: Manifest, box: Box) -> None:
    with tempfile.TemporaryDirectory(prefix="restore-", dir=settings.DATA_DIR) as near:
        opened = Path(near) / manifest.database
        with box.read(folder / manifest.database) as kept, opened.open("wb") as target:
            shutil.copyfileobj(kept, target, CHUNK)
        database.engine().restore(opened)


def _bring_back_files(folder: Path, manifest: Manifest, box: Box) -> Restored:
    report = Restored()
    for name, kept in manifest.files.items():
        try:
            if files.bring_back(name, folder, box, kept):
                report.files += 1
            else:
                report.other.append(name)
        except FileNotFoundError:
            report.missing.append(name)
        except ValueError:
            report.spoiled.append(name)
    return report


def _delete_what_was_deleted(manifest: Manifest) -> int:
    """Takes deleted while the backup was taken, after the database and before their sound was copied."""
    if manifest.lost is None:
        return 0
    known = {"", *manifest.files, *manifest.lost}
    gone = [pk for pk, sound in Take.objects.values_list("pk", "sound") if sound not in known]
    for pk in gone:
        Take.objects.filter(pk=pk).delete()
    return len(gone)
