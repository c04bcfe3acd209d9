"""The copies listeners get: the playing and nothing else; made by the workers, gone with the take."""

from pathlib import Path

import av
import numpy as np
import pytest
from django.core.files.storage import default_storage
from django.utils import timezone

from recordings.models import Panel, PanelTake
from recordings.panels import sounds
from recordings.panels.closing import close_panel
from recordings.panels.draw import draw_panel
from tests.recordings.panels.conftest import TAGS
from tests.recordings.sounds import tone, write_sound

pytestmark = pytest.mark.django_db


@pytest.fixture
def row(panel, takes):
    return panel.takes.get(take=takes[0])


def decoded(content: Path | str) -> tuple[str, np.ndarray]:
    with av.open(str(content)) as container:
        frames = [frame.to_ndarray()[0] for frame in container.decode(audio=0)]
        return container.format.name, np.concatenate(frames)


def test_what_was_asked_for_reaches_the_workers(
    takes, listeners, audition, rubric, director, messages, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks(execute=True):
        made = Panel(audition=audition, name="Panel", rubric=rubric, made_by=director)
        panel = draw_panel(made, teachers=listeners, hear_own=False)
    asked = [message for message in messages if message[0] == sounds.CLEAN_TASK]
    assert asked == [(sounds.CLEAN_TASK, [pk]) for pk in panel.takes.values_list("pk", flat=True)]


def test_the_playing_is_there_and_the_tags_are_not(row):
    given = row.take.sound.read()
    assert all(word.encode() in given for word in TAGS.values())
    assert sounds.clean(row.pk)
    row.refresh_from_db()
    content = row.sound.read()
    assert row.is_ready
    assert len(content) == row.size
    assert not any(word.encode() in content for word in TAGS.values())
    name, samples = decoded(row.sound.path)
    assert "mp4" in name
    # 3 s at 48 kHz, plus the lead-in and padding that AAC writes (two frames of 1,024).
    assert abs(samples.size - 3 * 48_000) <= 3 * 1024
    spectrum = np.abs(np.fft.rfft(samples[24_000:72_000]))
    assert np.argmax(spectrum) == pytest.approx(440, abs=1)


def test_pictures_stay_behind(row, tmp_path):
    video = write_sound(tmp_path / "clip.mp4", tone(3.0), video=True)
    row.take.sound.storage.delete(row.take.sound.name)
    with video.open("rb") as file:
        row.take.sound.storage.save(row.take.sound.name, file)
    assert sounds.clean(row.pk)
    row.refresh_from_db()
    with av.open(row.sound.path) as container:
        assert [stream.type for stream in container.streams] == ["audio"]


def test_twice_is_once(row):
    assert sounds.clean(row.pk)
    assert not sounds.clean(row.pk)


def test_what_is_no_sound_is_said_to_the_listener_and_the_director(
    row, as_user, third_teacher, director, panel
):
    storage, name = row.take.sound.storage, row.take.sound.name
    Path(storage.path(name)).write_bytes(b"no sound at all")
    assert not sounds.clean(row.pk)
    row.refresh_from_db()
    assert row.has_failed
    page = as_user(third_teacher).get(f"/panels/{panel.pk}/listen/{row.code}/").text
    assert "cannot be made ready" in page
    assert row.code in as_user(director).get(f"/panels/{panel.pk}/").text


def test_the_sweep_sends_again_and_gives_up(row, panel, messages):
    PanelTake.objects.exclude(pk=row.pk).delete()
    assert sounds.sweep() == [row.pk]
    PanelTake.objects.update(begun_at=timezone.now(), attempts=1)
    assert sounds.sweep() == []
    PanelTake.objects.update(begun_at=timezone.now() - sounds.GONE_AFTER * 2, attempts=1)
    assert sounds.sweep() == [row.pk]
    PanelTake.objects.update(attempts=sounds.MOST_ATTEMPTS)
    assert sounds.sweep() == []
    row.refresh_from_db()
    assert row.has_failed


def test_a_killed_process_is_tried_again(row, ended_by):
    ended_by("KILL")
    assert not sounds.clean(row.pk)
    row.refresh_from_db()
    assert (row.sound_state, row.begun_at) == ("waiting", None)


@pytest.mark.parametrize("end", ["take", "panel"])
def test_the_copy_goes(row, panel, end, django_capture_on_commit_callbacks):
    sounds.clean(row.pk)
    row.refresh_from_db()
    name = row.sound.name
    assert default_storage.exists(name)
    with django_capture_on_commit_callbacks(execute=True):
        if end == "take":
            row.take.delete()
        else:
            close_panel(panel)
    assert not default_storage.exists(name)


def test_a_copy_without_a_row_is_swept(row, monkeypatch):
    sounds.clean(row.pk)
    row.refresh_from_db()
    name = row.sound.name
    PanelTake.objects.update(sound="")
    assert sounds.sweep_unclaimed() == 0
    monkeypatch.setattr(sounds, "UNCLAIMED_AGE", -sounds.UNCLAIMED_AGE)
    assert sounds.sweep_unclaimed() == 1
    assert not default_storage.exists(name)
