"""Uploads in pieces keep every promise of a take that is handed in, whatever happens on the way."""

import hashlib
import io
import itertools
import random
from datetime import timedelta

import pytest
from django.core.files.storage import default_storage
from django.http import UnreadablePostError
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from recordings.backup.box import Box
from recordings.backup.make import _keep_files, _rows
from recordings.models import Take, Upload, UploadPart
from recordings.models.upload import GRACE, LIFETIME
from recordings.upload import resumable, room
from recordings.upload.parts import Checksum, WrongBytes, keep_part
from tests.recordings.sender import described, stored
from tests.recordings.sounds import tone, write_sound


@pytest.mark.parametrize("person", ["guardian", "teacher", "director", "other_student_user"])
def test_it_is_the_persons_own(request, sender, as_user, person, other_student):
    sender.begin()
    sender.client = as_user(request.getfixturevalue(person))
    assert [sender.head().status_code, sender.patch(0, 9).status_code, sender.end().status_code] == [404] * 3
    assert Upload.objects.get().offset == 0


@pytest.mark.parametrize("person", ["guardian", "teacher", "director"])
def test_others_who_may_hand_in_begin_their_own(request, sender, as_user, person):
    sender.begin()
    sender.client = as_user(request.getfixturevalue(person))
    assert sender.send_all().status_code == 204
    assert Upload.objects.count() == 2
    assert Take.objects.get().uploaded_by == request.getfixturevalue(person)


def test_a_stranger_begins_nothing(sender, as_user, other_student, other_student_user):
    sender.client = as_user(other_student_user)
    assert sender.begin().status_code == 404
    sender.client = as_user(None)
    assert sender.begin().status_code == 302


def test_without_its_token_nothing_begins(sender, student_user):
    sender.client = Client(enforce_csrf_checks=True)
    sender.client.force_login(student_user)
    assert sender.begin().status_code == 403
    assert not Upload.objects.exists()


def test_too_large_is_said_before_a_byte_is_sent(sender, settings):
    settings.TAKE_MAX_MB = 1
    response = sender.begin(HTTP_UPLOAD_LENGTH="1000001")
    assert response.status_code == 413
    assert "larger than 1 MB" in response.json()["error"]


def test_more_than_was_said_is_refused(sender, content):
    sender.begin()
    assert sender.patch(0, 0, piece=content + b"and more").status_code == 413


def test_ended_by_the_person(sender, django_capture_on_commit_callbacks):
    sender.begin()
    sender.patch(0, 1000)
    with django_capture_on_commit_callbacks(execute=True):
        assert sender.end().status_code == 204
    assert sender.head().status_code == 404
    assert stored() == []


def test_ten_random_cuts_give_the_same_bytes(sender, content, django_capture_on_commit_callbacks):
    """Each time some of what was sent gets lost, the offset is asked for in a new sign-in, and it goes on."""
    lots = random.Random(11)
    sender.begin()
    for cut in sorted(lots.sample(range(1, len(content)), 10)):
        start = int(sender.head()["Upload-Offset"])
        lost = content[start : start + lots.randrange(1, 5000)]
        assert sender.patch(start, 0, piece=lost[:-1], HTTP_UPLOAD_CHECKSUM=f"sha256 {sender.sum_of(lost)}")
        assert sender.patch(start, cut).status_code == 204
        sender.client = Client()
        sender.client.force_login(Upload.objects.get().person)
    start = int(sender.head()["Upload-Offset"])
    with django_capture_on_commit_callbacks(execute=True):
        assert sender.patch(start, len(content)).status_code == 204
    take = Take.objects.get()
    assert hashlib.sha256(take.sound.read()).digest() == hashlib.sha256(content).digest()


class CutOff(io.BytesIO):
    """A body whose connection breaks after what it holds."""

    def read(self, size=-1):
        if piece := super().read(size):
            return piece
        raise UnreadablePostError("broken pipe")


@pytest.mark.parametrize("kind", [CutOff, io.BytesIO])
def test_a_connection_cut_amid_a_piece(sender, content, kind):
    """With no sum of the piece the bytes that came stay, since the whole is looked at in the end."""
    sender.begin()
    upload, sum_of_all = Upload.objects.get(), Checksum("sha256", hashlib.sha256(content[:5000]).digest())
    with pytest.raises(WrongBytes):
        keep_part(upload, kind(content[:3000]), most=5000, checksum=sum_of_all)
    assert sender.head()["Upload-Offset"] == "0"
    keep_part(upload, kind(content[:3000]), most=5000, checksum=None)
    assert sender.head()["Upload-Offset"] == "3000"


def test_another_file_than_was_said_is_no_take(sender, content):
    sender.begin()
    wrong = content[:-1] + b"?"
    assert sender.patch(0, 0, piece=wrong).status_code == 460
    assert sender.head()["Upload-Offset"] == "0"
    assert not Take.objects.exists()
    assert sender.patch(0, len(content)).status_code == 204


def test_a_piece_lost_from_the_storage_comes_once_more(sender, content):
    sender.begin()
    sender.patch(0, 1000)
    sender.patch(1000, 2000)
    default_storage.delete(UploadPart.objects.get(start=1000).file.name)
    assert sender.patch(2000, len(content)).status_code == 460
    assert sender.head()["Upload-Offset"] == "1000"
    assert sender.patch(1000, len(content)).status_code == 204


def test_two_windows_with_the_same_piece_store_it_once(sender, monkeypatch):
    sender.begin()
    seen = Upload.objects.get()
    sender.patch(0, 1000)
    monkeypatch.setattr("recordings.views.upload_part.upload_or_404", lambda user, pk: seen)
    assert sender.patch(0, 500).status_code == 409
    assert len(stored()) == 1


def test_a_lost_last_answer_is_asked_for_again(sender, content):
    last = sender.send_all()
    stands = sender.head()
    assert stands["Upload-Offset"] == str(len(content))
    again = sender.patch(len(content), len(content))
    assert stands["Content-Location"] == again["Content-Location"] == last["Content-Location"]
    assert Take.objects.count() == 1


def test_the_same_file_goes_on_where_it_stopped_and_is_one_take(sender, content):
    sender.begin()
    first = sender.address
    sender.patch(0, 5000)
    begun = sender.begin()
    assert (begun.status_code, begun["Upload-Offset"], sender.address) == (201, "5000", first)
    sender.patch(5000, len(content))
    again = sender.begin()
    assert again.status_code == 200
    assert again["Content-Location"] == reverse("take_detail", args=[Take.objects.get().pk])
    page = sender.client.get(again["Content-Location"]).content.decode()
    assert "handed in this very file before" in page


def test_what_is_no_recording_gets_its_sentence_as_often_as_asked(sender):
    sender.content = b"my homework" * 50
    refused = [sender.send_all(), sender.patch(len(sender.content), len(sender.content))]
    assert [answer.status_code for answer in refused] == [422, 422]
    assert "not a recording" in refused[1].json()["error"]


def test_without_room_nothing_begins_and_what_came_stays(sender, content, monkeypatch):
    free = room.reserve_bytes() + 2 * len(content)
    monkeypatch.setattr(room, "free_bytes", lambda folder: free - 1)
    refused = sender.begin()
    assert refused.status_code == 507
    assert "no room for more recordings right now" in refused.json()["error"]
    monkeypatch.setattr(room, "free_bytes", lambda folder: free)
    assert sender.begin().status_code == 201
    sender.patch(0, 1000)
    monkeypatch.setattr(room, "free_bytes", lambda folder: 0)
    assert sender.patch(1000, 2000).status_code == 507
    assert sender.head()["Upload-Offset"] == "1000"


def test_what_others_have_begun_must_fit_too(sender, content, as_user, guardian, monkeypatch):
    sender.begin()
    monkeypatch.setattr(room, "free_bytes", lambda folder: room.reserve_bytes() + 3 * len(content) - 1)
    sender.client = as_user(guardian)
    assert sender.begin().status_code == 507


@pytest.mark.parametrize("quota", ["number", "bytes"])
def test_one_person_cannot_fill_the_disk(sender, settings, entry, requirement, student_user, quota):
    settings.TAKE_MAX_MB = 1
    size = 1000 if quota == "number" else 1_000_000
    most = resumable.MOST_AT_ONCE if quota == "number" else resumable.MOST_LARGEST
    rows = {"person": student_user, "entry": entry, "requirement": requirement, "size": size}
    begun = [Upload.objects.create(sha256=f"{number:064}", **rows) for number in range(most)]
    refused = sender.begin()
    assert refused.status_code == 429
    assert "discard one; the oldest is given up by itself on" in refused.json()["error"]
    assert 0 < int(refused["Retry-After"]) <= LIFETIME.total_seconds()
    begun[0].delete()
    assert sender.begin().status_code == 201


def test_consent_withdrawn_on_the_way(sender, content, student):
    sender.begin()
    sender.patch(0, 1000)
    student.consents.get().withdraw()
    refused = sender.patch(1000, len(content))
    assert refused.status_code == 403
    assert "guardian has to agree" in refused.json()["error"]
    assert sender.begin().status_code == 403
    assert not Take.objects.exists()


@pytest.mark.parametrize(
    ("closed_before", "begun_before", "counts"),
    [
        (timedelta(minutes=5), timedelta(minutes=20), True),
        (GRACE - timedelta(minutes=1), GRACE, True),
        (GRACE + timedelta(minutes=1), GRACE + timedelta(minutes=20), False),
        (timedelta(minutes=5), timedelta(minutes=2), False),
    ],
)
def test_closed_on_the_way(sender, content, audition, closed_before, begun_before, counts):
    """Begun in time and finished in the hours of grace it counts at its beginning; nothing else does."""
    sender.begin()
    now = timezone.now()
    Upload.objects.update(begun_at=now - begun_before)
    audition.closes_at = now - closed_before
    audition.save()
    last = sender.patch(0, len(content))
    if counts:
        assert last.status_code == 204
        assert Take.objects.get().uploaded_at == now - begun_before
    else:
        assert last.status_code == 403
        assert "closed on" in last.json()["error"]


def test_closed_already_nothing_begins(sender, audition):
    audition.closes_at = timezone.now() - timedelta(seconds=1)
    audition.save()
    assert sender.begin().status_code == 403


def test_a_late_finish_of_an_open_audition_counts_now(sender, content):
    sender.begin()
    Upload.objects.update(begun_at=timezone.now() - timedelta(days=3))
    sender.patch(0, len(content))
    assert timezone.now() - Take.objects.get().uploaded_at < timedelta(minutes=1)


def test_no_name_in_any_log(sender, caplog, tmp_path):
    caplog.set_level("DEBUG")
    sender.send_all()
    sender.content = write_sound(tmp_path / "b.wav", tone(2.5)).read_bytes()
    sender.send_all()
    assert Take.objects.count() == 2
    assert "First" not in caplog.text


@pytest.mark.parametrize("name", ["..", "", "a/b/../c.wav", "a" * 400 + ".wav", "take." + "b" * 250, "\x07"])
def test_odd_names_are_no_hindrance(sender, content, name):
    sender.begin(HTTP_UPLOAD_METADATA=described(content, name=name))
    assert sender.patch(0, len(content)).status_code == 204
    assert len(Take.objects.get().original_name) <= 200


def test_a_removed_entry_takes_its_pieces_along(sender, entry, django_capture_on_commit_callbacks):
    sender.begin()
    sender.patch(0, 1000)
    with django_capture_on_commit_callbacks(execute=True):
        entry.delete()
    assert stored() == []


def test_a_backup_holds_takes_and_no_pieces(sender, content, tmp_path):
    sender.begin()
    sender.patch(0, 1000)
    assert _keep_files(tmp_path, Box(), {}, _rows()) == {}
    sender.patch(1000, len(content))
    assert list(_keep_files(tmp_path, Box(), {}, _rows())) == [Take.objects.get().sound.name]


def test_pieces_of_any_size_in_any_number(sender, content):
    sender.begin()
    edges = [0, 1, 2, 65_536, 65_537, len(content)]
    assert {sender.patch(*edge).status_code for edge in itertools.pairwise(edges)} == {204}
    assert Take.objects.get().sound.read() == content
