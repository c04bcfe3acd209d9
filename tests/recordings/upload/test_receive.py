from datetime import timedelta

import pytest
from django.core.files.base import File
from django.core.files.storage import default_storage
from django.db import IntegrityError, transaction
from django.utils import timezone

from recordings.models import Analysis, Take
from recordings.upload import receive
from recordings.upload.receive import Refused, receive_take
from studio.models import Consent, Entry
from tests.recordings.conftest import finish, plain_take
from tests.recordings.sounds import tone, write_sound


def stored_files(settings) -> list:
    return [path for path in settings.MEDIA_ROOT.rglob("*") if path.is_file()]


def test_a_take_is_stored_hashed_and_queued(hand_in, wav, messages, settings):
    received = hand_in(wav)
    take = received.take
    assert received.is_new
    assert take.sound.read() == wav.read_bytes()
    assert take.size == wav.stat().st_size
    assert take.media_type == "audio/wav"
    assert take.analysis.state == Analysis.State.WAITING
    assert messages == [take.analysis.pk]
    assert len(stored_files(settings)) == 1


def test_nothing_of_the_person_goes_into_the_storage_key(hand_in, wav):
    take = hand_in(wav).take
    assert take.original_name == "My First Take.wav"
    assert "First" not in take.sound.name
    assert "wav" not in take.sound.name


def test_the_same_file_again_is_recognised_and_not_stored(hand_in, wav, messages, settings):
    first = hand_in(wav).take
    again = hand_in(wav)
    assert not again.is_new
    assert again.take == first
    assert Take.objects.count() == 1
    assert len(stored_files(settings)) == 1
    assert len(messages) == 1


def test_the_same_file_for_another_requirement_is_another_take(hand_in, wav, requirement):
    hand_in(wav)
    requirement.pk = None
    requirement.save()
    assert hand_in(wav, requirement=requirement).is_new


def test_two_windows_at_once_store_one_take(hand_in, wav, monkeypatch, settings):
    """The second window looked before the first had stored: the database decides, the bytes go again."""
    first = hand_in(wav).take
    monkeypatch.setattr(
        "django.db.models.query.QuerySet.first", _blind_once(Take.objects.none().__class__.first)
    )
    again = hand_in(wav)
    assert again.take == first
    assert not again.is_new
    assert len(stored_files(settings)) == 1


def _blind_once(real):
    calls = []

    def first(self):
        if self.model is Take and not calls:
            calls.append(1)
            return None
        return real(self)

    return first


def test_trouble_with_the_rows_takes_the_bytes_away_again(hand_in, wav, monkeypatch, settings):
    def broken(**_fields):
        raise RuntimeError("no room")

    monkeypatch.setattr(Analysis.objects, "create", broken)
    with pytest.raises(RuntimeError):
        hand_in(wav)
    assert not Take.objects.exists()
    assert stored_files(settings) == []


def test_what_is_not_sound_leaves_nothing(hand_in, tmp_path, settings):
    path = tmp_path / "homework.wav"
    path.write_text("my homework")
    with pytest.raises(Refused, match="not a recording"):
        hand_in(path)
    assert not Take.objects.exists()
    assert stored_files(settings) == []


def test_a_minor_without_consent(other_student, audition, requirement, wav, other_student_user):
    entry = Entry.objects.create(
        student=other_student, audition=audition, instrument="violin", level="senior"
    )
    with wav.open("rb") as sound, pytest.raises(Refused, match="guardian has to agree"):
        receive_take(entry=entry, requirement=requirement, file=File(sound), by=other_student_user)


def test_withdrawn_consent_counts_no_more(hand_in, wav, student):
    Consent.objects.get(student=student).withdraw()
    with pytest.raises(Refused, match=r"Before the first take, .* guardian has to agree"):
        hand_in(wav)


def test_consent_withdrawn_after_takes_speaks_of_the_next(hand_in, wav, student):
    hand_in(wav)
    Consent.objects.get(student=student).withdraw()
    with pytest.raises(Refused, match=r"Before the next take, .* has to agree to recording again\."):
        hand_in(wav)


def test_one_entry_cannot_fill_the_queue(hand_in, wav, entry, requirement, audition, other_student):
    takes = [
        plain_take(entry, requirement, sha256=f"{number:064}") for number in range(receive.MOST_UNMEASURED)
    ]
    with pytest.raises(Refused, match="still being measured"):
        hand_in(wav)
    other_student.is_minor = False
    other_student.save()
    other = Entry.objects.create(
        student=other_student, audition=audition, instrument="violin", level="senior"
    )
    assert hand_in(wav, entry=other).is_new
    finish(takes[0])
    assert hand_in(wav).is_new


def test_a_closed_audition_takes_nothing(hand_in, wav, audition):
    audition.closes_at = timezone.now() - timedelta(seconds=1)
    audition.save()
    with pytest.raises(Refused, match="closed on"):
        hand_in(wav)


def test_deleting_a_take_deletes_its_sound(take, django_capture_on_commit_callbacks):
    name = take.sound.name
    with django_capture_on_commit_callbacks(execute=True):
        take.delete()
    assert not default_storage.exists(name)


@pytest.mark.django_db(transaction=True)
def test_a_deletion_taken_back_keeps_the_sound(entry, requirement, wav, student_user):
    with wav.open("rb") as sound:
        take = receive_take(entry=entry, requirement=requirement, file=File(sound), by=student_user).take
    name = take.sound.name

    def delete_and_change_ones_mind():
        with transaction.atomic():
            take.delete()
            raise IntegrityError

    with pytest.raises(IntegrityError):
        delete_and_change_ones_mind()
    assert default_storage.exists(name)


def test_a_long_odd_name_is_shortened(hand_in, tmp_path):
    path = write_sound(tmp_path / ("a" * 190 + "\x07.wav"), tone(2.5))
    assert hand_in(path).take.original_name == "a" * 190 + ".wav"
    assert receive._plain_name("../" + "b" * 300) == "b" * 200
