"""A small audition of three violinists, and a panel of three listeners of whom one teaches the first player.

What could give a player away is in the sound: tags with a name and a place, and a telling file name.
"""

from pathlib import Path

import av
import numpy as np
import pytest
from django.core.files.base import ContentFile
from django.utils import timezone

from recordings.models import Analysis, Panel, Take
from recordings.panels.draw import draw_panel
from studio.models import Consent, Entry, Role, Student
from tests.conftest import make_person
from tests.recordings.sounds import RATE, tone

TAGS = {"title": "Mira Tannhof etude", "artist": "Tannhof", "comment": "Kitchen of the Tannhofs"}
FILE_NAME = "Mira Tannhof Lamp Etude.flac"


@pytest.fixture(autouse=True)
def messages(monkeypatch):
    """Messages to the workers, as (task, arguments); nothing reaches a broker."""
    sent: list[tuple[str, list]] = []
    monkeypatch.setattr("celery.current_app.send_task", lambda name, args: sent.append((name, args)))
    return sent


def tagged_sound(path: Path, *, midi: float = 69.0) -> bytes:
    """Three seconds of a tone in a file whose tags name the player."""
    samples = (tone(3.0, midi=midi) * 32767).astype(np.int16)
    with av.open(str(path), "w") as container:
        container.metadata.update(TAGS)
        stream = container.add_stream("flac", rate=RATE)
        stream.layout = "mono"
        frame = av.AudioFrame.from_ndarray(samples[np.newaxis, :], format="s16", layout="mono")
        frame.rate = RATE
        container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return path.read_bytes()


def stored_take(entry, requirement, content: bytes, name: str = FILE_NAME) -> Take:
    take = Take.objects.create(
        entry=entry,
        requirement=requirement,
        sound=ContentFile(content, name="take"),
        sha256=f"{Take.objects.count():064x}",
        size=len(content),
        media_type="audio/flac",
        original_name=name,
    )
    Analysis.objects.create(
        take=take, state=Analysis.State.DONE, result={}, metronome_bpm=91.0, finished_at=timezone.now()
    )
    return take


def make_player(name: str, teacher, audition) -> Entry:
    """A student of age, entered."""
    student = Student.objects.create(
        name=name, instrument="violin", level="senior", teacher=teacher, is_minor=False
    )
    return Entry.objects.create(student=student, audition=audition, instrument="violin", level="senior")


@pytest.fixture
def agreed(student):
    Consent.objects.filter(student=student).update(for_panels=True)


@pytest.fixture
def players(entry, agreed, other_teacher, audition):
    """The minor of `tests.conftest` with her agreement, and two of age with another teacher.

    Their names are long: three letters stand in a random token by chance, and are searched for.
    """
    return [
        entry,
        *(make_player(name, other_teacher, audition) for name in ("Leonora Rothenfels", "Odilo Kammerstein")),
    ]


@pytest.fixture
def takes(players, requirement, tmp_path):
    content = tagged_sound(tmp_path / "tagged.flac")
    return [stored_take(entry, requirement, content) for entry in players]


@pytest.fixture
def third_teacher(studio):
    return make_person("Veit Sommer", Role.TEACHER)


@pytest.fixture
def listeners(teacher, other_teacher, third_teacher):
    return [teacher, other_teacher, third_teacher]


@pytest.fixture
def panel(takes, listeners, audition, rubric, director):
    made = Panel(audition=audition, name="Autumn panel", rubric=rubric, made_by=director, seed="lamp")
    return draw_panel(made, teachers=listeners, hear_own=False)


@pytest.fixture
def sheets_of(panel):
    """`sheets_of(user)` in the order of hearing."""

    def sheets(user):
        return list(panel.listeners.get(user=user).sheets.select_related("panel_take__take"))

    return sheets
