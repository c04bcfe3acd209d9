"""What a restore refuses before it touches anything, and what the check of sounds tells the health page."""

import io
import json
import os
import time
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import connection

from recordings.backup import database
from recordings.backup.manifest import Manifest, key_mark
from recordings.backup.restore import restore
from recordings.backup.trouble import BackupTrouble
from recordings.models import Take

pytestmark = pytest.mark.django_db


@pytest.fixture
def kept(tmp_path, monkeypatch):
    """A backup as far as its manifest and database go, before a database that says it is empty."""
    monkeypatch.setattr(database, "is_empty", lambda: True)
    folder = tmp_path / "kept"
    folder.mkdir()
    (folder / "database-1").write_bytes(b"rows")
    manifest = Manifest(
        made_at="2026-11-28T00:00:00+00:00",
        engine=connection.vendor,
        database="database-1",
        database_sha256=database.sha256_of(folder / "database-1"),
        key=key_mark(),
        migrations=database.applied_migrations(),
    )
    manifest.write(folder)
    return folder


def change(folder: Path, **fields) -> None:
    found = json.loads((folder / "manifest.json").read_text())
    (folder / "manifest.json").write_text(json.dumps({**found, **fields}))


@pytest.mark.parametrize(
    ("damage", "sentence"),
    [
        (lambda kept: (kept / "manifest.json").unlink(), "no finished backup"),
        (lambda kept: (kept / "manifest.json").write_text("{"), "cannot be read"),
        (lambda kept: change(kept, form=2), "another version"),
        (lambda kept: change(kept, engine="oracle"), "of the same kind"),
        (lambda kept: change(kept, migrations=["studio.0999_from_the_future"]), "newer version"),
        (lambda kept: (kept / "database-1").write_bytes(b"rot"), "missing or damaged"),
        (lambda kept: (kept / "database-1").unlink(), "missing or damaged"),
        (lambda kept: change(kept, key="0" * 16), "another SECRET_KEY"),
    ],
    ids=["no manifest", "spoiled", "form", "engine", "newer", "database", "no database", "key"],
)
def test_it_is_refused_with_what_to_do(kept, damage, sentence):
    damage(kept)
    with pytest.raises(BackupTrouble, match=sentence):
        restore(kept)


def test_a_wrong_key_is_refused(kept):
    change(kept, key=key_mark("the kept key of more than thirty-two letters"))
    with pytest.raises(BackupTrouble, match="not the one the backup was made with"):
        restore(kept, key="yet another key of more than thirty-two letters")


def test_a_database_in_use_is_refused(kept, monkeypatch, studio):
    monkeypatch.undo()
    with pytest.raises(BackupTrouble, match="is not empty"):
        restore(kept)


def test_the_check_names_both_ways_and_the_health_page_knows(entry, requirement, client):
    take = Take.objects.create(entry=entry, requirement=requirement, sound="takes/gone", sha256="0", size=1)
    stray = default_storage.save("takes/stray", ContentFile(b"sound"))
    young = default_storage.save("takes/young", ContentFile(b"sound"))
    days_ago = time.time() - 2 * 24 * 3600
    os.utime(default_storage.path(stray), (days_ago, days_ago))
    said = io.StringIO()
    with pytest.raises(CommandError, match="from the last backup"):
        call_command("check_sounds", stdout=said)
    assert f"take {take.pk}: its sound is missing." in said.getvalue()
    assert f"{stray}: no take has this sound." in said.getvalue()
    assert young not in said.getvalue()
    health = client.get("/healthz").json()
    assert (health["sounds"], health["left_behind"]) == ("damaged", 1)

    take.delete()
    default_storage.delete(stray)
    call_command("check_sounds", stdout=said)
    assert "Every take has its sound" in said.getvalue()
    assert client.get("/healthz").json()["sounds"] == "ok"
