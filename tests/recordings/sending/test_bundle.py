"""The files that are sent, opened and looked at byte by byte beside the takes they are made of."""

import hashlib
import io
import os
import zipfile

import av
import numpy as np
import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from recordings.models import Bundle, Take
from recordings.sending import bundle
from recordings.sending.bundle import FRAME_S
from recordings.sending.bundle_queue import ask_for, sweep
from recordings.sending.lifetime import sweep_files
from recordings.sending.make_child import read_back
from repertoire.wording.words import words
from studio.models import Consent, SendingRules
from tests.recordings.conftest import finish
from tests.recordings.sounds import RATE, tone, write_sound

TELLING = {"title": "Mira Tannhof", "artist": "Mira", "comment": "Linden Studio"}


@pytest.fixture
def rules(audition):
    return SendingRules.objects.create(audition=audition)


def tagged(path):
    """The same packets with a name in the file's own words."""
    told = path.with_name(f"told-{path.name}")
    with av.open(str(path)) as given, av.open(str(told), "w") as made:
        for key, value in TELLING.items():
            made.metadata[key] = value
        streams = {each.index: made.add_stream_from_template(each) for each in given.streams}
        for packet in given.demux():
            if packet.dts is not None:
                packet.stream = streams[packet.stream.index]
                made.mux(packet)
    return told


def samples(path) -> np.ndarray:
    with av.open(str(path)) as container:
        frames = [frame.to_ndarray() for frame in container.decode(audio=0)]
    return np.concatenate([frame.reshape(1, -1) for frame in frames], axis=1)


@pytest.fixture
def packed(hand_in, tmp_path, entry, director):
    """`packed("take.m4a", formats=[...])`: the file handed in, the bundle, and where it is unpacked."""

    def made(name: str, *, video: bool = False, seconds: float = 3.0, **asked):
        path = tagged(write_sound(tmp_path / name, tone(seconds), video=video))
        take = hand_in(path).take
        finish(take, duration_s=seconds)
        SendingRules.objects.filter(audition=entry.audition).update(**asked)
        ask_for(entry, director)
        row = Bundle.objects.get()
        bundle.make(row.pk)
        row.refresh_from_db()
        assert row.state == "done", words(row.failure)
        folder = tmp_path / "unpacked"
        with zipfile.ZipFile(io.BytesIO(row.file.open("rb").read())) as archive:
            assert archive.testzip() is None
            archive.extractall(folder)
        take.refresh_from_db()
        assert hashlib.sha256(path.read_bytes()).hexdigest() == take.sha256
        assert take.sound.open("rb").read() == path.read_bytes()
        return path, row, folder

    return made


def only_sound(folder, row):
    [name] = [each["name"] for each in row.contents]
    assert {path.name for path in folder.iterdir()} == {name, "list.txt", "SHA256SUMS"}
    data = (folder / name).read_bytes()
    digest = hashlib.sha256(data).hexdigest()
    assert (folder / "SHA256SUMS").read_text() == f"{digest}  {name}\n"
    assert (row.contents[0]["sha256"], row.contents[0]["size"]) == (digest, len(data))
    assert digest in (folder / "list.txt").read_text()
    return folder / name


def test_what_fits_is_sent_as_it_came(packed, rules):
    path, row, folder = packed("take.mp3")
    file = only_sound(folder, row)
    assert file.read_bytes() == path.read_bytes()
    assert file.name == "1 Lamp Etude.mp3"


BLIND = {"judged_blind": True, "name_pattern": "{entry}-{number}"}


@pytest.mark.parametrize("name", ["take.mp3", "take.m4a", "take.wav", "take.flac", "take.ogg", "take.mp4"])
def test_who_judges_blind_gets_no_byte_of_a_name(packed, rules, name):
    path, row, folder = packed(name, video=name == "take.mp4", **BLIND)
    assert b"Tannhof" in path.read_bytes()
    file = only_sound(folder, row)
    everything = b"".join(each.name.encode() + each.read_bytes() for each in folder.iterdir())
    for word in (b"Mira", b"Tannhof", b"Linden"):
        assert word not in everything
        assert word not in row.file.open("rb").read()
    length_s, tags = read_back(file)
    assert tags == {}
    assert length_s == pytest.approx(read_back(path)[0], abs=1 / RATE)
    assert np.array_equal(samples(file), samples(path))


@pytest.mark.parametrize(
    ("name", "wanted"),
    [
        ("take.ogg", "mp3"),
        ("take.ogg", "m4a"),
        ("take.ogg", "flac"),
        ("take.wav", "mp3"),
        ("take.m4a", "wav"),
        ("take.mp4", "m4a"),
        ("take.mp4", "mp3"),
    ],
)
def test_what_does_not_fit_is_converted_with_its_length_kept(packed, rules, name, wanted):
    picture = name == "take.mp4"
    path, row, folder = packed(name, video=picture, formats=[wanted], picture="sound")
    file = only_sound(folder, row)
    assert file.suffix == f".{wanted}"
    assert abs(read_back(file)[0] - read_back(path)[0]) <= FRAME_S
    with av.open(str(file)) as container:
        assert not container.streams.video
    assert np.sqrt(np.mean(samples(file).astype(float) ** 2)) > 0


def test_without_loss_means_every_sample(packed, rules):
    path, row, folder = packed("take.wav", formats=["flac"])
    assert np.array_equal(samples(only_sound(folder, row)), samples(path))


def test_a_video_stays_a_video(packed, rules):
    path, row, folder = packed("take.mp4", video=True, formats=["mp4"], picture="video", **BLIND)
    with av.open(str(only_sound(folder, row))) as container, av.open(str(path)) as given:
        assert len(list(container.decode(video=0))) == len(list(given.decode(video=0)))


def test_the_same_takes_make_the_same_bytes(packed, rules, entry, director):
    _, row, _ = packed("take.wav", **BLIND)
    ask_for(entry, director)
    again = Bundle.objects.get()
    assert again.pk != row.pk
    bundle.make(again.pk)
    again.refresh_from_db()
    assert again.sha256 == row.sha256


def test_no_files_without_a_guardians_agreement(packed, rules, entry, director, as_user):
    packed("take.wav")
    browser = as_user(director)
    assert browser.get(f"/entries/{entry.pk}/sending/files.zip").status_code == 200
    Consent.objects.get().withdraw()
    assert browser.get(f"/entries/{entry.pk}/sending/files.zip").status_code == 403
    assert browser.post(f"/entries/{entry.pk}/sending/files/make/").status_code == 403
    ask_for(entry, director)
    refused = Bundle.objects.get()
    assert not bundle.make(refused.pk)
    refused.refresh_from_db()
    assert words(refused.failure) == "No files were made: no guardian's agreement stands."
    assert not refused.file


def test_what_cannot_be_made_is_refused_in_a_sentence(hand_in, wav, rules, entry, director):
    finish(hand_in(wav).take)
    SendingRules.objects.update(formats=["ogg"])
    ask_for(entry, director)
    assert not bundle.make(Bundle.objects.get().pk)
    assert "cannot be brought into a format" in words(Bundle.objects.get().failure)


def test_a_take_that_is_not_what_was_handed_in_is_not_sent(hand_in, wav, rules, entry, director):
    take = hand_in(wav).take
    finish(take)
    with open(take.sound.path, "r+b") as sound:
        sound.write(b"XXXX")
    ask_for(entry, director)
    assert not bundle.make(Bundle.objects.get().pk)
    assert "not what was handed in" in words(Bundle.objects.get().failure)


def test_a_deleted_take_takes_its_files_along(packed, rules, django_capture_on_commit_callbacks):
    _, row, _ = packed("take.wav")
    assert default_storage.exists(row.file.name)
    with django_capture_on_commit_callbacks(execute=True):
        Take.objects.get().delete()
    assert not Bundle.objects.exists()
    assert not default_storage.exists(row.file.name)


def test_another_choice_makes_the_files_old(packed, rules, entry, director, as_user):
    packed("take.wav")
    page = f"/entries/{entry.pk}/sending/"
    assert "have changed since" not in as_user(director).get(page).text
    SendingRules.objects.update(name_pattern="{number}")
    assert "have changed since" in as_user(director).get(page).text


def test_a_worker_makes_each_bundle_once_and_a_lost_one_is_sent_again(packed, rules, entry, director):
    _, row, _ = packed("take.wav")
    assert not bundle.make(row.pk)
    ask_for(entry, director)
    waiting = Bundle.objects.get()
    assert sweep() == []
    Bundle.objects.update(heartbeat_at=waiting.heartbeat_at.replace(year=2000))
    assert sweep() == [waiting.pk]
    Bundle.objects.update(state="running", attempts=3)
    assert sweep() == []
    assert Bundle.objects.get().state == "failed"


def test_who_waits_sees_how_far_it_is_and_then_the_files(packed, rules, entry, director, as_user):
    page, browser = f"/entries/{entry.pk}/sending/", as_user(director)
    packed("take.wav")
    assert browser.post(f"{page}files/make/").status_code == 302
    waiting = browser.get(page).text
    assert f'hx-get="{page}files/progress/"' in waiting
    assert "htmx" in waiting.partition("</main>")[2]
    Bundle.objects.update(progress_percent=45)
    assert "45 %" in browser.get(f"{page}files/progress/").text
    bundle.make(Bundle.objects.get().pk)
    assert "Download all" in browser.get(f"{page}files/progress/").text


def test_files_a_killed_worker_left_are_swept_and_no_others(packed, rules):
    _, row, _ = packed("take.wav")
    left = default_storage.save("bundles/2026/11/left", ContentFile(b"left"))
    assert sweep_files() == 0
    for name in (left, row.file.name):
        os.utime(default_storage.path(name), (0, 0))
    assert sweep_files() == 1
    assert default_storage.exists(row.file.name)
    assert not default_storage.exists(left)


def test_no_files_where_the_disk_is_nearly_full(hand_in, wav, rules, entry, director, settings):
    finish(hand_in(wav).take)
    settings.DISK_RESERVE_MB = 10**9
    ask_for(entry, director)
    assert not bundle.make(Bundle.objects.get().pk)
    assert "disk is nearly full" in words(Bundle.objects.get().failure)


def test_a_log_holds_numbers_only(packed, rules, entry, director, as_user, caplog):
    caplog.set_level("INFO")
    packed("take.wav", **BLIND)
    as_user(director).get(f"/entries/{entry.pk}/sending/files.zip")
    assert f"entry {entry.pk}" in caplog.text
    assert "Mira" not in caplog.text
    assert "Lamp" not in caplog.text
