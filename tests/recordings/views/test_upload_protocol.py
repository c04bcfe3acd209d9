"""Uploads in pieces: each answer the protocol (tus 1.0.0) asks for."""

import hashlib
import os
from datetime import timedelta
from pathlib import Path

import pytest
from django.urls import reverse
from django.utils import timezone

from recordings.models import Take, Upload, UploadPart
from recordings.models.upload import LIFETIME
from recordings.upload import left_behind
from tests.recordings.sender import PIECE, TUS, described, encoded, stored


def test_it_says_what_it_speaks(sender):
    response = sender.client.options(sender.begin_at)
    assert response.status_code == 204
    assert response["Tus-Version"] == "1.0.0"
    assert response["Tus-Extension"] == "creation,expiration,checksum,termination"
    assert response["Tus-Max-Size"] == "500000000"
    assert response["Tus-Checksum-Algorithm"].split(",") == ["sha256", "sha1"]


def test_begun_asked_for_sent_and_safe(
    sender, content, student_user, messages, django_capture_on_commit_callbacks
):
    begun = sender.begin()
    assert begun.status_code == 201
    assert begun["Upload-Offset"] == "0"
    assert begun["Upload-Expires"]
    first = sender.patch(0, 70_000)
    assert (first.status_code, first["Upload-Offset"], first.content) == (204, "70000", b"")
    stands = sender.head()
    assert (stands.status_code, stands["Upload-Offset"]) == (200, "70000")
    assert stands["Upload-Length"] == str(len(content))
    assert stands["Upload-Metadata"] == described(content)
    assert stands["Cache-Control"] == "no-store"
    assert not Take.objects.exists()
    with django_capture_on_commit_callbacks(execute=True):
        last = sender.patch(70_000, len(content))
    take = Take.objects.get()
    assert (last.status_code, last["Content-Location"]) == (204, reverse("take_detail", args=[take.pk]))
    assert take.sound.read() == content
    assert (take.original_name, take.uploaded_by) == ("My First Take.wav", student_user)
    assert messages == [take.analysis.pk]
    assert [path.name for path in stored()] == [Path(take.sound.name).name]
    assert not UploadPart.objects.exists()


@pytest.mark.parametrize("method", ["head", "patch", "delete"])
def test_another_version_is_refused_with_ours(sender, method):
    sender.begin()
    response = getattr(sender.client, method)(sender.address, HTTP_TUS_RESUMABLE="0.2.2")
    assert (response.status_code, response["Tus-Version"]) == (412, "1.0.0")


def test_every_answer_carries_the_version(sender):
    sender.begin()
    answers = [sender.head(), sender.patch(5, 9), sender.patch(0, 9), sender.end(), sender.head()]
    assert [answer.status_code for answer in answers] == [200, 409, 204, 204, 404]
    assert {answer["Tus-Resumable"] for answer in answers} == {"1.0.0"}


def test_a_wrong_offset_changes_nothing(sender):
    sender.begin()
    sender.patch(0, 1000)
    for start in (0, 999, 1001):
        assert sender.patch(start, start + 10).status_code == 409
    assert sender.head()["Upload-Offset"] == "1000"


@pytest.mark.parametrize("algorithm", ["sha1", "sha256"])
def test_a_piece_that_was_changed_on_its_way_is_thrown_away(sender, algorithm):
    sender.begin()
    right = encoded(hashlib.new(algorithm, sender.content[:1000]).digest())
    said = {"HTTP_UPLOAD_CHECKSUM": f"{algorithm} {right}"}
    assert sender.patch(0, 0, piece=sender.content[1:1001], **said).status_code == 460
    assert sender.head()["Upload-Offset"] == "0"
    assert stored() == []
    assert sender.patch(0, 1000, **said).status_code == 204


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"HTTP_UPLOAD_CHECKSUM": "md5 abcd"}, 400),
        ({"HTTP_UPLOAD_CHECKSUM": "sha256 ***"}, 400),
        ({"HTTP_UPLOAD_OFFSET": "-1"}, 400),
        ({"CONTENT_TYPE": "text/plain"}, 415),
    ],
)
def test_what_cannot_be_understood(sender, headers, status):
    sender.begin()
    assert sender.patch(0, 10, **headers).status_code == status
    assert sender.head()["Upload-Offset"] == "0"


@pytest.mark.parametrize(
    "headers",
    [
        {"HTTP_UPLOAD_LENGTH": "many"},
        {"HTTP_UPLOAD_METADATA": "filename dGFrZQ=="},
        {"HTTP_UPLOAD_METADATA": "sha256 " + encoded("nothing like it")},
        {"HTTP_UPLOAD_METADATA": "sha256 ?"},
    ],
)
def test_a_beginning_that_cannot_be_understood(sender, headers):
    assert sender.begin(**headers).status_code == 400
    assert not Upload.objects.exists()


def test_a_client_that_knows_only_post(sender):
    sender.begin()
    said = {"HTTP_UPLOAD_OFFSET": "0", "HTTP_X_HTTP_METHOD_OVERRIDE": "PATCH"}
    answer = sender.client.post(sender.address, sender.content[:10], content_type=PIECE, **TUS, **said)
    assert (answer.status_code, answer["Upload-Offset"]) == (204, "10")


def test_an_expired_one_is_gone_swept_and_counted(sender, client, studio, django_capture_on_commit_callbacks):
    sender.begin()
    sender.patch(0, 1000)
    assert client.get("/healthz").json()["uploads_on_their_way"] == 1
    Upload.objects.update(begun_at=timezone.now() - LIFETIME)
    assert sender.head().status_code == 410
    assert sender.patch(1000, 2000).status_code == 410
    report = client.get("/healthz").json()
    assert (report["uploads_on_their_way"], report["left_behind"]) == (0, 1)
    with django_capture_on_commit_callbacks(execute=True):
        assert left_behind.sweep_uploads() == 1
    assert sender.head().status_code == 404
    assert stored() == []
    assert client.get("/healthz").json()["left_behind"] == 0


def test_a_piece_without_its_row_goes_when_nobody_can_want_it(sender):
    sender.begin()
    sender.patch(0, 1000)
    (claimed,) = stored()
    orphan, young = claimed.with_name("orphan"), claimed.with_name("young")
    for path in (orphan, young):
        path.write_bytes(b"piece")
    long_ago = (timezone.now() - LIFETIME - timedelta(days=2)).timestamp()
    for path in (claimed, orphan):
        os.utime(path, (long_ago, long_ago))
    left_behind.sweep_uploads()
    assert {path.name for path in stored()} == {claimed.name, "young"}
