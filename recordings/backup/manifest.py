"""What a backup holds, written last: a folder without it is no backup, only the beginning of one."""

import hashlib
import json
import os
from dataclasses import asdict, dataclass, field
from pathlib import Path

from django.conf import settings
from django.db.migrations.loader import MigrationLoader

from recordings.backup.trouble import BackupTrouble

NAME = "manifest.json"
FORM = 1


@dataclass(frozen=True, slots=True)
class Kept:
    size: int
    sha256: str


@dataclass(slots=True)
class Manifest:
    made_at: str
    engine: str  # "sqlite" or "postgresql"
    database: str  # the file's name in the folder
    database_sha256: str
    key: str  # tells one SECRET_KEY from another without giving it away
    migrations: list[str]
    files: dict[str, Kept] = field(default_factory=dict)
    lost: list[str] | None = None  # named by rows, found nowhere; None where an older program did not tell
    form: int = FORM
    sealed_with: str = ""  # tells one key of sealed files from another; empty where they lie as they are

    def write(self, folder: Path) -> None:
        unfinished = folder / f"{NAME}.unfinished"
        with unfinished.open("w", encoding="utf-8") as file:
            json.dump(asdict(self), file, indent=1)
            file.flush()
            os.fsync(file.fileno())
        unfinished.replace(folder / NAME)

    @classmethod
    def read(cls, folder: Path) -> "Manifest":
        try:
            found = json.loads((folder / NAME).read_text(encoding="utf-8"))
            found["files"] = {name: Kept(**kept) for name, kept in found["files"].items()}
            manifest = cls(**found)
        except FileNotFoundError as error:
            raise BackupTrouble(
                f"In {folder} lies no finished backup ({NAME} is missing). Name the folder given to "
                "`backup`, or run `backup` again to its end."
            ) from error
        except (OSError, ValueError, KeyError, TypeError) as error:
            raise BackupTrouble(f"{folder / NAME} cannot be read. Take another backup.") from error
        if manifest.form != FORM:
            raise BackupTrouble("This backup has a form only another version of the program knows.")
        return manifest

    def refuse_newer(self) -> None:
        """A database with steps this program does not know must not be worked on by it."""
        loader = MigrationLoader(None)
        known = {".".join(key) for key in (*loader.disk_migrations, *loader.replacements)}
        replaced = {".".join(key) for found in loader.disk_migrations.values() for key in found.replaces}
        if unknown := sorted(set(self.migrations) - known - replaced):
            raise BackupTrouble(
                f"This backup comes from a newer version of the program ({unknown[0]} is not known here). "
                "Install that version, or a later one, then restore."
            )


def key_mark(key: str | None = None) -> str:
    return hashlib.sha256(f"backup of {key or settings.SECRET_KEY}".encode()).hexdigest()[:16]
