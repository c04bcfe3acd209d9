"""What cut-off uploads and killed processes leave behind goes by itself; what may be the last copy stays."""

import io
import os
import time
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import call_command

from recordings.models import Take
from recordings.upload import left_behind

pytestmark = pytest.mark.django_db
DAY_S = 24 * 3600


@pytest.fixture(autouse=True)
def incoming(tmp_path, settings) -> Path:
    settings.FILE_UPLOAD_TEMP_DIR = tmp_path / "incoming"
    settings.FILE_UPLOAD_TEMP_DIR.mkdir()
    return settings.FILE_UPLOAD_TEMP_DIR


def age(path, seconds: float) -> None:
    then = time.time() - seconds
    os.utime(path, (then, then))


def kept_sound(name: str, *, days: float) -> Path:
    path = Path(default_storage.path(default_storage.save(f"takes/2026/01/{name}", ContentFile(b"sound"))))
    age(path, days * DAY_S)
    return path


def test_the_part_of_a_cut_off_upload_goes_and_a_growing_one_stays(incoming, client, studio):
    old, growing = incoming / "a.upload.wav", incoming / "b.upload.wav"
    for path in (old, growing):
        path.write_bytes(b"half a take")
    age(old, 2 * left_behind.PART_AGE_S)
    assert client.get("/healthz").json()["left_behind"] == 1
    assert left_behind.sweep_parts() == 1
    assert not old.exists()
    assert growing.exists()
    assert client.get("/healthz").json()["left_behind"] == 0


def test_a_sound_without_a_take_goes_after_a_day_and_a_takes_own_stays(take):
    age(default_storage.path(take.sound.name), 9 * DAY_S)
    orphan, coming_in = kept_sound("orphan", days=2), kept_sound("new", days=0)
    assert left_behind.sweep_sounds() == 0
    assert not orphan.exists()
    assert coming_in.exists()
    assert default_storage.exists(take.sound.name)


def test_beside_another_database_no_sound_is_deleted_and_the_health_page_says_so(take, client):
    sounds = [kept_sound(f"of-another-{number}", days=2) for number in range(left_behind.MOST_SWEPT)]
    age(default_storage.path(take.sound.name), 2 * DAY_S)
    Take.objects.all().delete()
    # Not deleted with its row: on_commit waits for a transaction that never ends here.
    assert left_behind.sweep_sounds() == left_behind.MOST_SWEPT + 1
    assert all(path.exists() for path in sounds)
    report = client.get("/healthz")
    assert (report.status_code, report.json()["sounds"]) == (503, "unclaimed")
    assert report.json()["left_behind"] == left_behind.MOST_SWEPT + 1


@pytest.mark.parametrize("takes", ["none", "one"])
def test_a_small_studios_sounds_beside_a_new_database_stay(take, takes):
    if takes == "none":
        Take.objects.all().delete()
    sounds = [kept_sound(name, days=2) for name in ("first", "second")]
    assert left_behind.sweep_sounds() >= 2
    assert all(path.exists() for path in sounds)


def test_the_command_names_them_and_deletes_them_only_when_told(take):
    sounds = [kept_sound(f"{number}", days=2) for number in range(left_behind.MOST_SWEPT + 1)]
    said = io.StringIO()
    call_command("unclaimed_sounds", stdout=said)
    assert all(path.exists() and path.name in said.getvalue() for path in sounds)
    call_command("unclaimed_sounds", "--delete", stdout=said)
    assert not any(path.exists() for path in sounds)
    assert default_storage.exists(take.sound.name)
    assert left_behind.unclaimed_at_last_sweep() == 0


def test_with_no_sound_handed_in_yet_there_is_nothing_to_sweep(studio):
    assert left_behind.unclaimed_sounds() == []
