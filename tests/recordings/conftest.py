"""Takes for the tests of this room: small made sounds, and rows as a worker leaves them."""

from datetime import timedelta

import pytest
from django.core.files.base import File
from django.utils import timezone

from recordings import tasks
from recordings.models import Analysis, Take
from recordings.upload.receive import receive_take
from studio.services.mail import SEND_TASK
from tests.recordings.sender import Sender
from tests.recordings.sounds import tone, write_sound


@pytest.fixture(autouse=True)
def messages(monkeypatch):
    """The analyses the workers were sent a message for, by id; nothing reaches a broker."""
    sent: list[int] = []

    def send_task(name: str, args: list[int]) -> None:
        known = (tasks.measure, tasks.make_bundle, tasks.make_own_copy, tasks.finish_erasure)
        assert name in (*(task.name for task in known), SEND_TASK) or not args
        sent.extend(args if name == tasks.measure.name else [])

    monkeypatch.setattr("celery.current_app.send_task", send_task)
    return sent


@pytest.fixture
def wav(tmp_path):
    return write_sound(tmp_path / "My First Take.wav", tone(3.0))


@pytest.fixture
def hand_in(entry, requirement, student_user, django_capture_on_commit_callbacks):
    """`hand_in(path)` as the student does it: stored, queued, the workers told."""

    def handed_in(path, *, entry=entry, requirement=requirement):
        with path.open("rb") as sound, django_capture_on_commit_callbacks(execute=True):
            return receive_take(entry=entry, requirement=requirement, file=File(sound), by=student_user)

    return handed_in


@pytest.fixture
def content(wav) -> bytes:
    return wav.read_bytes()


@pytest.fixture
def sender(as_user, student_user, student, entry, requirement, content):
    return Sender(as_user(student_user), entry, requirement, content)


@pytest.fixture
def take(hand_in, wav):
    return hand_in(wav).take


@pytest.fixture
def measured(take):
    """The take with its analysis ended."""
    finish(take)
    return take


def finish(take: Take, **facts) -> None:
    fields = {"metronome_bpm": 96.0, "complete": True, "share_played": 1.0, "duration_s": 3.0, **facts}
    Analysis.objects.filter(take=take).update(
        state=Analysis.State.DONE, finished_at=timezone.now(), progress_percent=100, result={}, **fields
    )
    take.analysis.refresh_from_db()


def silent_for(analysis: Analysis, seconds: float, **fields) -> None:
    Analysis.objects.filter(pk=analysis.pk).update(
        heartbeat_at=timezone.now() - timedelta(seconds=seconds), **fields
    )
    analysis.refresh_from_db()


def plain_take(entry, requirement, *, minutes_ago: float = 0, sha256: str = "0" * 64) -> Take:
    """Rows only, without any sound: for pages that only list."""
    take = Take.objects.create(
        entry=entry,
        requirement=requirement,
        uploaded_at=timezone.now() - timedelta(minutes=minutes_ago),
        sound="takes/none",
        sha256=sha256,
        size=10,
        media_type="audio/wav",
    )
    Analysis.objects.create(take=take)
    return take
