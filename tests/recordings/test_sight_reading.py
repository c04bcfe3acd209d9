"""Reading at sight: never the same twice, one take, heard by nobody else unless handed in, gone in time."""

from datetime import timedelta

import numpy as np
import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from recordings.models import SightReading
from recordings.models.sight_reading import MOST_ATTEMPTS
from recordings.sight import lifetime, queue
from recordings.sight.measure import measure
from recordings.sight.new import new_exercise
from recordings.upload.left_behind import names_below
from recordings.upload.stored import put
from repertoire.notation.order.forms import play
from studio.models import Consent, Entry, Student, Studio
from tests.recordings.sight_rows import heard_at, sight_reading
from tests.recordings.sounds import RATE, tone, write_sound

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def rung(monkeypatch):
    """What the workers were told of."""
    sent = []
    monkeypatch.setattr("celery.current_app.send_task", lambda name, args: sent.append((name, *args)))
    return sent


@pytest.fixture
def reading(student, requirement, entry):
    return new_exercise([student], requirement, 2)[0]


@pytest.fixture
def player(as_user, student_user):
    return as_user(student_user)


def sent(client, reading, content: bytes):
    file = SimpleUploadedFile("take.wav", content)
    return client.post(reverse("sight_take", args=[reading.pk]), {"sound": file})


def played(reading, path) -> bytes:
    """The exercise as a steady tone a note, at its tempo."""
    score = reading.excerpt.score
    q_s = 60 / (reading.bpm * reading.excerpt.beat_unit_q)
    form = play(score)
    samples = np.zeros(round((form.length_q * q_s + 1.5) * RATE), dtype=np.float32)
    for note in form.notes:
        sound = tone(note.duration_q * q_s * 0.97, midi=note.note.midi)
        fade = round(0.02 * RATE)
        sound[:fade] *= np.linspace(0, 1, fade)
        sound[-fade:] *= np.linspace(1, 0, fade)
        start = round((0.5 + note.start_q * q_s) * RATE)
        samples[start : start + len(sound)] += sound
    return write_sound(path, samples).read_bytes()


@pytest.mark.slow
def test_the_one_take_is_measured_and_told_without_a_mark(player, reading, rung, tmp_path, settings,
                                                        django_capture_on_commit_callbacks):  # fmt: skip
    page = reverse("sight_reading", args=[reading.pk])
    assert "<svg" not in player.get(page).content.decode()
    player.post(reverse("sight_look", args=[reading.pk]))
    looked = player.get(page).content.decode()
    assert "<svg" in looked
    assert "The key:" in looked
    with django_capture_on_commit_callbacks(execute=True):
        assert sent(player, reading, played(reading, tmp_path / "take.wav")).status_code == 302
    assert rung == [(queue.SIGHT_TASK, reading.pk)]
    assert "is being listened to" in player.get(page).content.decode()
    assert measure(reading.pk)
    told = player.get(page).content.decode()
    assert "Nearly every note came as it is printed." in told
    assert "You went on to the end without stopping" in told
    assert f"{reading.bpm} is printed" in told
    assert not measure(reading.pk), "it was measured twice"


@pytest.mark.parametrize(
    ("bpm", "said"),
    [
        (42, "60 is printed. Slower is a good choice at sight."),
        (58, "60 is printed.</li>"),
        (81, "60 is printed. A slower beat gives your eyes more time."),
    ],
)
def test_the_tempo_is_told_once_and_as_it_was(player, student, requirement, entry, bpm, said):
    played = sight_reading(requirement, student, state="done", result=heard_at(bpm))
    told = player.get(reverse("sight_reading", args=[played.pk])).content.decode()
    assert f"You played at about {bpm}; {said}" in told
    assert "The tempo is" not in told


def test_there_is_one_take_and_the_same_file_twice_is_the_same_take(player, reading, wav, content):
    assert sent(player, reading, content).status_code == 302
    assert sent(player, reading, content).status_code == 302
    other = sent(player, reading, write_sound(wav.with_name("other.wav"), tone(4.0)).read_bytes())
    assert other.status_code == 422
    assert "had its one take" in other.content.decode()
    assert len(list(names_below("sight"))) == 1


def test_nobody_hears_it_until_it_is_handed_in_and_not_after_it_is_taken_back(
    player, reading, content, as_user, teacher, director, guardian
):
    sent(player, reading, content)
    sound = reverse("sight_sound", args=[reading.pk])
    others = [as_user(teacher), as_user(director), as_user(guardian)]
    assert [client.get(sound).status_code for client in others] == [404, 404, 404]
    assert b"".join(player.get(sound).streaming_content) == content
    player.post(reverse("sight_hand_in", args=[reading.pk]))
    assert [client.get(sound).status_code for client in others] == [200, 200, 404]
    player.post(reverse("sight_hand_in", args=[reading.pk]))
    assert [client.get(sound).status_code for client in others] == [404, 404, 404]


def test_a_teacher_sets_the_same_for_all_who_learn_it_and_sees_no_more_than_that(
    as_user, teacher, student, requirement, entry, other_student
):
    second = Student.objects.create(
        name="Second Reed", instrument=student.instrument, level=student.level, teacher=teacher
    )
    Entry.objects.create(
        student=second, audition=entry.audition, instrument=entry.instrument, level=entry.level
    )
    client = as_user(teacher)
    answer = client.post(reverse("sight_room"), {"requirement": requirement.pk, "level": 3})
    assert answer.status_code == 302
    made = SightReading.objects.all()
    assert {reading.student_id for reading in made} == {student.pk, second.pk}
    assert len({reading.musicxml for reading in made}) == 1
    shown = client.get(reverse("sight_room")).content.decode()
    assert "not played yet" in shown
    assert reverse("sight_reading", args=[made[0].pk]) not in shown


def test_an_exercise_never_comes_a_second_time(student, requirement, entry, monkeypatch):
    seeds = iter([5, 5, 6])
    monkeypatch.setattr("recordings.sight.new.secrets.randbelow", lambda _top: next(seeds))
    [first], [second] = (new_exercise([student], requirement, 1) for _twice in range(2))
    assert (first.seed, second.seed) == (5, 6)
    assert first.musicxml != second.musicxml


def test_without_an_agreement_nothing_is_taken(player, reading, content):
    Consent.objects.all().delete()
    refused = sent(player, reading, content)
    assert refused.status_code == 422
    assert "a parent or guardian has to agree" in refused.content.decode()
    assert not list(names_below("sight"))


def test_of_two_takes_at_once_nobody_is_told_that_the_second_is_kept(player, reading, content, monkeypatch):
    def first_comes_between(*given, **facts) -> str:
        SightReading.objects.filter(pk=reading.pk).update(
            state="waiting", sha256="1" * 64, sound="sight/first"
        )
        return put(*given, **facts)

    monkeypatch.setattr("recordings.sight.receive.put", first_comes_between)
    refused = sent(player, reading, content)
    assert refused.status_code == 422
    assert "has had its one take" in refused.content.decode()
    assert SightReading.objects.get().sound.name == "sight/first"
    assert not list(names_below("sight"))


def test_who_has_many_on_the_way_waits_for_them(player, reading, student, requirement, content, monkeypatch):
    monkeypatch.setattr("recordings.sight.receive.MOST_UNMEASURED", 1)
    sent(player, new_exercise([student], requirement, 1)[0], content)
    refused = sent(player, reading, content)
    assert refused.status_code == 422
    assert "still being measured" in refused.content.decode()
    SightReading.objects.waiting().update(state="done", result=None)
    assert sent(player, reading, content).status_code == 302


def test_an_exercise_outlives_the_music_it_was_made_after(player, reading, requirement):
    requirement.delete()
    assert player.get(reverse("sight_reading", args=[reading.pk])).status_code == 200
    assert player.get(reverse("sight_room")).status_code == 200


def test_what_is_no_sound_is_refused_and_may_be_sent_again(player, reading, content):
    refused = sent(player, reading, b"no sound at all")
    assert refused.status_code == 422
    assert 'id="sound-error"' in refused.content.decode()
    assert sent(player, reading, content).status_code == 302


def test_a_take_goes_after_the_studios_days_and_the_exercise_stays_known(
    player, reading, content, studio, django_capture_on_commit_callbacks
):
    Studio.objects.update(practice_days=10)
    sent(player, reading, content)
    SightReading.objects.update(result={"any": 1}, state="done")
    assert lifetime.delete_expired(timezone.now() + timedelta(days=9)) == 0
    with django_capture_on_commit_callbacks(execute=True):
        assert lifetime.delete_expired(timezone.now() + timedelta(days=11)) == 1
    gone = SightReading.objects.get()
    assert (gone.sound.name, gone.result, gone.state) == ("", None, "removed")
    assert not list(names_below("sight"))
    assert gone.content_hash == reading.content_hash


def test_it_can_be_removed_at_once_and_goes_with_its_student(
    player, reading, content, student, requirement, django_capture_on_commit_callbacks
):
    sent(player, reading, content)
    with django_capture_on_commit_callbacks(execute=True):
        player.post(reverse("sight_remove", args=[reading.pk]))
    assert not list(names_below("sight"))
    other = new_exercise([student], requirement, 2)[0]
    sent(player, other, content)
    with django_capture_on_commit_callbacks(execute=True):
        student.delete()
    assert not list(names_below("sight"))


def test_a_worker_that_dies_is_followed_by_another_but_not_for_ever(player, reading, content, rung):
    sent(player, reading, content)
    now = timezone.now()
    SightReading.objects.update(begun_at=now, attempts=1)
    assert queue.sweep() == []
    SightReading.objects.update(begun_at=now - queue.GONE_AFTER - timedelta(seconds=5))
    assert queue.sweep() == [reading.pk]
    SightReading.objects.update(attempts=MOST_ATTEMPTS)
    assert queue.sweep() == []
    assert SightReading.objects.get().state == "failed"


def test_a_sound_no_row_names_is_swept(reading, player, content):
    sent(player, reading, content)
    name = SightReading.objects.get().sound.name
    SightReading.objects.update(sound="")
    assert lifetime.sweep_unclaimed() == 0
    lifetime.UNCLAIMED_AGE, before = timedelta(0), lifetime.UNCLAIMED_AGE
    try:
        assert lifetime.sweep_unclaimed() == 1
    finally:
        lifetime.UNCLAIMED_AGE = before
    assert not default_storage.exists(name)


def test_the_room_asks_as_few_questions_for_many(
    player, student, requirement, entry, django_assert_max_num_queries
):
    new_exercise([student], requirement, 1)
    with django_assert_max_num_queries(14) as few:
        player.get(reverse("sight_room"))
    for _more in range(6):
        new_exercise([student], requirement, 1)
    with django_assert_max_num_queries(len(few)):
        player.get(reverse("sight_room"))
