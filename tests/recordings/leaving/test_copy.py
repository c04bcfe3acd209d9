"""The copy of everything: what is in it, what is not, who gets it, how long it lies there."""

import hashlib
import io
import json
import zipfile
from datetime import timedelta

import pytest
from django.core.files.storage import default_storage
from django.urls import reverse
from django.utils import timezone

from recordings.leaving import copy, copy_queue
from recordings.models import OwnCopy, Panel, PanelTake
from recordings.tasks import delete_expired
from studio.models import Event
from studio.services.more_time import give
from tests.recordings.leaving.conftest import (
    ALONE,
    ANSWER,
    AT_SIGHT,
    DRAFT,
    LISTENER,
    ORIGINAL,
    QUESTION,
    SOUND,
)

pytestmark = pytest.mark.django_db


def unpacked(row: OwnCopy) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(row.file.open("rb").read())) as archive:
        assert archive.testzip() is None
        return {name: archive.read(name) for name in archive.namelist()}


def test_everything_of_the_student_is_in_it_and_says_what_it_is(copied, everything, guardian):
    files = unpacked(copied)
    assert files[f"sounds/{everything.pk}.wav"] == SOUND
    assert json.loads(files[f"measured/{everything.pk}.json"])["tuning"]["a4_hz"] == 441.2
    assert ANSWER in files[f"answers/{everything.pk}.txt"].decode()
    [receipt] = [text.decode() for name, text in files.items() if name.startswith("agreements/")]
    assert "Agreed for the tests." in receipt
    assert guardian.name in receipt
    told = json.loads(files["everything.json"])
    assert [each["text"] for each in told["questions"]] == [QUESTION]
    assert told["takes"][0]["original_name"] == ORIGINAL
    assert told["takes"][0]["by"] == "student"
    assert told["takes"][0]["answer"]["by"] == "teacher"
    assert told["uploads_on_their_way"][0]["size"] == 99
    assert [each["kind"] for each in told["events"] if each["about"] == "student"][-1] == "exported"
    assert told["entries"][0]["audition"] == "Youth orchestra"


def test_of_reading_at_sight_only_what_was_handed_in_is_heard(copied):
    files = unpacked(copied)
    assert AT_SIGHT in files.values()
    assert ALONE not in files.values()
    assert len(json.loads(files["everything.json"])["read_at_sight"]) == 2
    assert "1 take of reading at sight, not handed in" in files["list.txt"].decode()


def test_a_reason_written_for_staff_is_not_in_it_and_that_is_said(everything, student, guardian, director):
    until = timezone.now() + timedelta(days=3)
    give(student.entries.all(), until=until, reason="a broken wrist", by=director)
    copy_queue.ask_for(student, guardian)
    copy.make(OwnCopy.objects.get().pk)
    files = unpacked(OwnCopy.objects.get())
    assert not any(b"broken wrist" in content for content in files.values())
    assert "why more time was given" in files["list.txt"].decode()
    assert json.loads(files["everything.json"])["entries"][0]["extended_until"] == until.isoformat()


def test_the_checksums_are_those_of_the_files(copied):
    files = unpacked(copied)
    sums = dict(line.split("  ")[::-1] for line in files.pop("SHA256SUMS").decode().splitlines())
    assert sums == {name: hashlib.sha256(data).hexdigest() for name, data in files.items()}


def test_others_are_not_named_and_what_was_not_given_out_is_not_in_it(
    copied, teacher, other_teacher, director
):
    files = unpacked(copied)
    everything = b"".join(files.values()).decode(errors="ignore")
    for word in (teacher.name, other_teacher.name, director.name, DRAFT, LISTENER):
        assert word not in everything, word
    head = files["list.txt"].decode()
    assert "the draft of 1 answer" in head
    assert "1 remark of a panel's listeners" in head


def test_remarks_of_a_panel_come_once_they_are_handed_on(everything, student, guardian):
    Panel.objects.update(closed_at=timezone.now())
    PanelTake.objects.update(handed_on_at=timezone.now())
    copy_queue.ask_for(student, guardian)
    copy.make(OwnCopy.objects.get().pk)
    told = json.loads(unpacked(OwnCopy.objects.get())["everything.json"])
    assert told["takes"][0]["panels"][0]["remarks"] == [LISTENER]


def test_a_missing_sound_is_named_and_the_rest_comes(everything, student, guardian):
    default_storage.delete(everything.sound.name)
    copy_queue.ask_for(student, guardian)
    assert copy.make(OwnCopy.objects.get().pk)
    files = unpacked(OwnCopy.objects.get())
    assert f"sounds/{everything.pk}.wav" in files["list.txt"].decode()
    assert f"sounds/{everything.pk}.wav" not in files


def test_from_the_page_to_the_file(everything, student, guardian, teacher, other_guardian, as_user):
    browser, page = as_user(guardian), reverse("student_data", args=[student.pk])
    assert "Make the file" in browser.get(page).text
    browser.post(reverse("student_data_make", args=[student.pk]))
    assert "being made: 0 %" in browser.get(page).text
    copy.make(OwnCopy.objects.get().pk)
    assert "Download" in browser.get(reverse("student_data_progress", args=[student.pk])).text
    answer = browser.get(reverse("student_data_file", args=[student.pk]))
    assert b"".join(answer.streaming_content)[:2] == b"PK"
    assert answer["Cache-Control"] == "private, no-store"
    for other, status in ((teacher, 403), (other_guardian, 404)):
        assert as_user(other).get(reverse("student_data_file", args=[student.pk])).status_code == status
    exported = Event.objects.filter(kind=Event.Kind.EXPORTED, about="student", by_number=guardian.pk)
    assert exported.count() == 2


def test_it_lies_there_for_a_week(copied, django_capture_on_commit_callbacks):
    name = copied.file.name
    delete_expired()
    assert default_storage.exists(name)
    OwnCopy.objects.update(made_at=timezone.now() - timedelta(days=8))
    with django_capture_on_commit_callbacks(execute=True):
        delete_expired()
    assert not default_storage.exists(name)


def test_it_goes_with_a_take_that_is_in_it(copied, everything):
    everything.delete()
    assert not OwnCopy.objects.exists()
