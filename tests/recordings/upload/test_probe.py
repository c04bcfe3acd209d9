from concurrent.futures import ThreadPoolExecutor
from threading import Lock
from time import sleep

import pytest

from recordings.upload import probe as probe_module
from recordings.upload.probe import NotNow, NotSound, probe
from repertoire.notation.bounded import Ended, Ending
from tests.recordings.sounds import tone, write_sound


@pytest.mark.parametrize(
    ("suffix", "media_type"),
    [
        ("wav", "audio/wav"),
        ("mp3", "audio/mpeg"),
        ("flac", "audio/flac"),
        ("m4a", "audio/mp4"),
        ("ogg", "audio/ogg"),
    ],
)
def test_what_phones_make(tmp_path, suffix, media_type):
    found = probe(write_sound(tmp_path / f"take.{suffix}", tone(3.0)))
    assert found.media_type == media_type
    assert found.duration_s == pytest.approx(3.0, abs=0.15)


def test_a_video_with_sound(tmp_path):
    assert probe(write_sound(tmp_path / "take.mp4", tone(3.0), video=True)).media_type == "video/mp4"


def test_the_content_counts_and_not_the_name(tmp_path):
    path = write_sound(tmp_path / "take.mp3", tone(3.0)).rename(tmp_path / "take.txt")
    assert probe(path).media_type == "audio/mpeg"


def _written(path, content: bytes):
    path.write_bytes(content)
    return path


PLAYLIST = b"#EXTM3U\n#EXT-X-TARGETDURATION:10\n#EXTINF:10,\nfile:///etc/hostname\n#EXT-X-ENDLIST\n"
CONCAT = b"ffconcat version 1.0\nfile '/etc/hostname'\n"


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "empty"),
        (b"<!doctype html><p>Not found", "not a recording"),
        (bytes(range(256)) * 40, "not a recording"),
        (PLAYLIST, "not a recording"),
        (CONCAT, "not a recording"),
    ],
)
def test_what_is_not_media(tmp_path, content, sentence):
    with pytest.raises(NotSound, match=sentence):
        probe(_written(tmp_path / "take.wav", content))


def test_a_picture(tmp_path):
    from PIL import Image

    Image.new("RGB", (64, 48)).save(tmp_path / "take.png")
    with pytest.raises(NotSound, match="not a recording"):
        probe(tmp_path / "take.png")


def test_a_video_without_sound(tmp_path):
    with pytest.raises(NotSound, match="no sound"):
        probe(write_sound(tmp_path / "take.mp4", tone(0.1), video=True, sound=False))


def test_too_short(tmp_path):
    with pytest.raises(NotSound, match="shorter than two seconds"):
        probe(write_sound(tmp_path / "take.wav", tone(1.0)))


def test_too_long(tmp_path, settings):
    settings.TAKE_MAX_MINUTES = 0.04
    with pytest.raises(NotSound, match="longer than"):
        probe(write_sound(tmp_path / "take.wav", tone(3.0)))


def test_a_phone_file_cut_off_at_the_end(tmp_path):
    whole = write_sound(tmp_path / "take.m4a", tone(3.0)).read_bytes()
    with pytest.raises(NotSound, match="not a recording"):
        probe(_written(tmp_path / "cut.m4a", whole[: len(whole) // 2]))


def test_a_child_that_hangs_is_ended(tmp_path, monkeypatch):
    monkeypatch.setattr(probe_module, "PROBE_TIMEOUT_S", 0.01)
    with pytest.raises(NotSound, match="cannot be read"):
        probe(write_sound(tmp_path / "take.wav", tone(3.0)))


@pytest.mark.parametrize(("signal", "sentence"), [("SEGV", "cannot be read"), ("KILL", "send it once more")])
def test_a_crash_and_a_kill_are_distinguished(tmp_path, ended_by, signal, sentence):
    ended_by(signal)
    with pytest.raises(NotSound, match=sentence):
        probe(write_sound(tmp_path / "take.wav", tone(3.0)))


def test_a_child_without_memory_is_a_sentence(tmp_path, monkeypatch):
    monkeypatch.setattr(probe_module, "PROBE_MEMORY_MB", 1)
    with pytest.raises(NotSound, match="cannot be read"):
        probe(write_sound(tmp_path / "take.wav", tone(3.0)))


def test_no_more_looks_at_once_than_there_is_room_for(tmp_path, settings, monkeypatch):
    """Of eight sent at once, never more than the limit are looked at in the same moment."""
    running, most, lock = [], [], Lock()

    def slow(*_arguments, **_limits):
        with lock:
            running.append(1)
            most.append(len(running))
        sleep(0.05)
        with lock:
            running.pop()
        return Ended(Ending.FINISHED, b'{"verdict": "empty"}', "", 0, None)

    monkeypatch.setattr(probe_module, "run", slow)

    def one(_number):
        with pytest.raises(NotSound, match="empty"):
            probe(tmp_path / "take.wav")

    with ThreadPoolExecutor(8) as threads:
        list(threads.map(one, range(8)))
    assert len(most) == 8
    assert max(most) == probe_module.LOOKS_AT_ONCE


def test_where_no_room_comes_free_in_time_it_is_said(tmp_path, monkeypatch):
    monkeypatch.setattr(probe_module, "LOOKS_AT_ONCE", 0)
    monkeypatch.setattr(probe_module, "WAIT_FOR_A_LOOK_S", 0.01)
    with pytest.raises(NotNow, match="in a minute"):
        probe(tmp_path / "take.wav")


def test_a_file_that_only_burns_time_is_ended_by_its_processor_time(tmp_path, monkeypatch):
    asked = []

    def remember(*_arguments, limits):
        asked.append(limits)
        return Ended(Ending.TOO_LONG, b"", "", -24, None)

    monkeypatch.setattr(probe_module, "run", remember)
    with pytest.raises(NotSound, match="cannot be read"):
        probe(tmp_path / "take.wav")
    assert asked[0].processor_s == 5
