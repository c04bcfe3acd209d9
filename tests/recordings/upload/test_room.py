"""A take is acknowledged only when every byte of it lies there; without room it is refused in a sentence."""

import errno
import shutil
import subprocess
from pathlib import Path

import pytest
from django.core.files.storage import FileSystemStorage, default_storage
from django.urls import reverse

from recordings.models import Take
from recordings.upload import room, watch
from recordings.upload.stored import NoRoom
from tests.mails import delivered

pytestmark = pytest.mark.django_db
SENTENCE = "no room for more recordings right now"


@pytest.fixture
def send(as_user, student_user, entry, requirement, consent, wav):
    """Hands a take in as a browser does; `send()` gives the answer."""

    def sent():
        with wav.open("rb") as sound:
            return as_user(student_user).post(
                reverse("take_upload", args=[entry.pk, requirement.pk]), {"sound": sound}
            )

    return sent


@pytest.fixture
def consent(student, guardian):
    if not student.has_consent:
        student.consents.create(given_by=guardian, wording="Yes.")


def files_below(folder) -> list:
    return [path for path in folder.rglob("*") if path.is_file()]


def break_saving(monkeypatch, storing) -> None:
    monkeypatch.setattr(FileSystemStorage, "_save", storing)


def test_without_room_it_is_refused_before_anything_is_written(send, monkeypatch, settings, messages):
    free = room.reserve_bytes() + 1000
    monkeypatch.setattr(room, "free_bytes", lambda folder: free)
    response = send()
    assert response.status_code == 507
    assert SENTENCE in response.content.decode()
    assert not Take.objects.exists()
    assert not files_below(settings.MEDIA_ROOT)


def test_a_disk_that_fills_up_while_it_is_stored_leaves_nothing_behind(send, monkeypatch, settings):
    def half(storage, name, content):
        path = settings.MEDIA_ROOT / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content.read()[:1000])
        raise OSError(errno.ENOSPC, "No space left on device")

    break_saving(monkeypatch, half)
    response = send()
    assert response.status_code == 507
    assert SENTENCE in response.content.decode()
    assert not Take.objects.exists()
    assert not files_below(settings.MEDIA_ROOT)


def test_bytes_lost_without_a_word_are_noticed(send, monkeypatch, settings):
    """A file system that only says at the next write that the last one did not fit."""

    def short(storage, name, content):
        path = settings.MEDIA_ROOT / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content.read()[:-700])
        return name

    break_saving(monkeypatch, short)
    assert send().status_code == 507
    assert not Take.objects.exists()
    assert not files_below(settings.MEDIA_ROOT)


def test_a_temporary_file_cut_short_is_noticed(hand_in, wav, monkeypatch):
    monkeypatch.setattr("django.core.files.base.File.size", wav.stat().st_size + 700)
    with pytest.raises(NoRoom):
        hand_in(wav)
    assert not Take.objects.exists()


def test_on_a_real_full_disk_what_is_acknowledged_is_kept(send, tmp_path, settings):
    disk = tmp_path / "disk"
    disk.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", str(disk)], capture_output=True, text=True
    )
    if mounted.returncode:
        pytest.skip("a small file system cannot be mounted here")
    try:
        settings.MEDIA_ROOT, settings.DISK_RESERVE_MB = disk / "media", 0
        (disk / "filler").write_bytes(b"x" * (shutil.disk_usage(disk).free - 8192))
        assert send().status_code == 507
        assert not files_below(disk / "media")
        (disk / "filler").unlink()
        assert send().status_code == 302
        take = Take.objects.get()
        assert take.sound.size == take.size
    finally:
        subprocess.run(["umount", str(disk)], check=True)


def test_the_directors_are_mailed_once_a_day_and_the_health_page_shows_it(
    send, director, monkeypatch, client, django_capture_on_commit_callbacks
):
    sent = []
    monkeypatch.setattr(room, "free_bytes", lambda folder: 0)
    monkeypatch.setattr("celery.current_app.send_task", lambda name, args: sent.append(name))
    send()
    send()
    assert sent == [watch.TELL_TASK]
    assert watch.tell_directors() == 1
    assert "no new takes are accepted until there is room" in delivered()[0].body
    assert client.get("/healthz").json()["room"] == "low"


def test_a_whole_studio_has_nothing_to_tell(take, director):
    assert watch.check_sounds(everything=True) == watch.Checked(1, (), ())
    assert watch.tell_directors(watch.check_sounds()) == 0


@pytest.mark.parametrize(
    ("damage", "state"),
    [
        (lambda path: path.unlink(), "missing"),
        (lambda path: path.write_bytes(path.read_bytes()[:-1]), "changed"),
        (lambda path: path.write_bytes(path.read_bytes()[:-1] + b"?"), "changed"),
    ],
    ids=["gone", "shorter", "one byte another"],
)
def test_a_damaged_sound_is_found_mailed_and_shown(take, director, as_user, client, damage, state):
    damage(Path(default_storage.path(take.sound.name)))
    checked = watch.check_sounds(everything=True)
    assert getattr(checked, state) == (take.pk,)
    assert len(checked.missing) + len(checked.changed) == 1
    assert watch.tell_directors(checked) == 1
    assert "1 recording" in delivered()[-1].body
    report = client.get("/healthz")
    assert (report.status_code, report.json()["sounds"]) == (503, "damaged")
    page = as_user(director).get(reverse("take_detail", args=[take.pk])).content.decode()
    assert "please keep the file you sent" in page
    assert watch.check_sounds(everything=True).count == 1
    assert watch.tell_directors(watch.check_sounds(everything=True)) == 0
