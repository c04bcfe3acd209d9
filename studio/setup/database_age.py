"""Refuses a database from before the first migrations as they are now.

A room's first migration stands for all that version 0.2 had. A database with only some of those has nothing
to take the rest from, and Django by itself ends in a traceback, or passes the room over without a word.
"""

from collections.abc import Iterable

from django.core.checks import Error, Tags, register
from django.db import connections
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder


@register(Tags.database)
def check_database_age(*, databases: Iterable[str] | None = None, **_options) -> list[Error]:
    """An error for each room that stops halfway through migrations no longer here."""
    loader = MigrationLoader(None)
    gone = {
        app: set(migration.replaces) - loader.disk_migrations.keys()
        for (app, _name), migration in loader.replacements.items()
    }
    return [
        Error(
            f"The tables of {app} in this database are older than version 0.2, "
            "and only version 0.2 can bring them up to date.",
            hint="Run `manage.py migrate` of version 0.2 on it, then this one.",
            id="studio.E001",
        )
        for alias in databases or ()
        for applied in [MigrationRecorder(connections[alias]).applied_migrations().keys()]
        for app, names in gone.items()
        if names & applied and names - applied
    ]
