"""The database as one file and back: SQLite by its own backup, PostgreSQL by pg_dump and pg_restore.

Both copy one moment whole while people go on working.
"""

import hashlib
import os
import sqlite3
import subprocess
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from django.db import connection, connections

from recordings.backup.trouble import BackupTrouble


@dataclass(frozen=True, slots=True)
class Engine:
    """How one kind of database is kept and brought back."""

    suffix: str
    dump: Callable[[Path], None]
    restore: Callable[[Path], None]


def engine() -> Engine:
    return ENGINES[connection.vendor]


def is_empty() -> bool:
    return not connection.introspection.table_names()


def applied_migrations() -> list[str]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT app, name FROM django_migrations ORDER BY app, name")
        return [f"{app}.{name}" for app, name in cursor.fetchall()]


def sha256_of(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _sqlite_dump(target: Path) -> None:
    with closing(sqlite3.connect(_sqlite_path())) as live, closing(sqlite3.connect(target)) as copy:
        live.backup(copy)
        # One file without a journal beside it, and sound.
        copy.execute("PRAGMA journal_mode=DELETE")
        if copy.execute("PRAGMA integrity_check").fetchone() != ("ok",):
            raise BackupTrouble("The copy of the database is damaged: this is no backup. Look at the disk.")


def _sqlite_restore(source: Path) -> None:
    connections.close_all()
    place = _sqlite_path()
    unfinished = place.with_name(f"{place.name}.restoring")
    unfinished.unlink(missing_ok=True)
    with closing(sqlite3.connect(source)) as kept, closing(sqlite3.connect(unfinished)) as copy:
        kept.backup(copy)
    for beside in ("-wal", "-shm"):
        place.with_name(place.name + beside).unlink(missing_ok=True)
    os.replace(unfinished, place)


def _sqlite_path() -> Path:
    return Path(connection.settings_dict["NAME"])


def _postgresql_dump(target: Path) -> None:
    _run(["pg_dump", "--format=custom", "--no-owner", "--no-privileges", f"--file={target}"])


def _postgresql_restore(source: Path) -> None:
    connections.close_all()
    name = connection.settings_dict["NAME"]
    common = ["--no-owner", "--no-privileges", "--single-transaction", "--exit-on-error"]
    _run(["pg_restore", *common, f"--dbname={name}", str(source)])


def _run(command: list[str]) -> None:
    facts = connection.settings_dict
    named = {
        "PGHOST": "HOST",
        "PGPORT": "PORT",
        "PGUSER": "USER",
        "PGPASSWORD": "PASSWORD",
        "PGDATABASE": "NAME",
    }
    # By the environment: what stands in a command can be read by everybody on the machine.
    variables = {variable: str(facts[key]) for variable, key in named.items() if facts.get(key)}
    options = facts.get("OPTIONS", {})
    variables |= {"PGSSLMODE": options["sslmode"]} if "sslmode" in options else {}
    try:
        done = subprocess.run(command, env={**os.environ, **variables}, capture_output=True, text=True)
    except FileNotFoundError as error:
        raise BackupTrouble(
            f"{command[0]} is not installed here. It comes with PostgreSQL's own programs "
            "(on Debian and Ubuntu: apt install postgresql-client)."
        ) from error
    if done.returncode:
        raise BackupTrouble(f"{command[0]} failed: {done.stderr.strip()}")


ENGINES = {
    "sqlite": Engine("sqlite3", _sqlite_dump, _sqlite_restore),
    "postgresql": Engine("dump", _postgresql_dump, _postgresql_restore),
}
