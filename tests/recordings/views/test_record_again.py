"""A take nobody can judge asks its player at once to record again, and does not wait with a teacher."""

from datetime import timedelta

import numpy as np
import pytest
from django.urls import reverse
from django.utils import timezone

from recordings.analysis.recording.decode import SAMPLE_RATE
from recordings.jobs import run
from recordings.models import Analysis, Review, Take
from recordings.readiness.rows import cell_for
from recordings.readiness.rules import State
from tests.recordings.conftest import plain_take
from tests.recordings.sounds import write_sound


def other_music() -> np.ndarray:
    """Ten seconds of gliding tone: sound enough, and no music of the studio's."""
    time = np.arange(10 * SAMPLE_RATE) / SAMPLE_RATE
    return (0.2 * np.sin(2 * np.pi * np.cumsum(233 + 31 * time) / SAMPLE_RATE)).astype(np.float32)


SOUNDS = {
    "silent": lambda: np.zeros(8 * SAMPLE_RATE, np.float32),
    "other_music": other_music,
}


@pytest.fixture
def judged_by_measuring(tmp_path, hand_in):
    """`of(name)`: this sound handed in and measured for real."""

    def of(name: str) -> Take:
        take = hand_in(write_sound(tmp_path / f"{name}.wav", SOUNDS[name]())).take
        assert run.measure(take.analysis.pk)
        return Take.objects.with_everything().get(pk=take.pk)

    return of


@pytest.fixture
def off(entry, requirement):
    """A take whose measuring can make nothing of it; rows only."""
    take = plain_take(entry, requirement)
    Analysis.objects.filter(take=take).update(
        state=Analysis.State.DONE, unusable=Analysis.Unusable.OTHER_MUSIC, result={}
    )
    return Take.objects.with_everything().get(pk=take.pk)


def page_of(client, take) -> str:
    return client.get(reverse("take_detail", args=[take.pk])).content.decode()


@pytest.mark.slow
@pytest.mark.parametrize("name", SOUNDS)
def test_a_silent_or_foreign_take_is_not_drafted_and_asks_for_another(
    judged_by_measuring, name, as_user, student_user, teacher
):
    take = judged_by_measuring(name)
    assert take.analysis.unusable == name
    assert not Review.objects.filter(take=take).exists()
    assert take not in Take.objects.awaiting_review()
    page = page_of(as_user(student_user), take)
    assert take.analysis.get_unusable_display() in page
    assert "Record again" in page
    assert "Now your teacher hears it" not in page


def test_it_does_not_wait_with_the_teacher(as_user, teacher, off):
    assert list(as_user(teacher).get(reverse("review_queue")).context["page"]) == []
    page = page_of(as_user(teacher), off)
    assert "The student is asked to record again." in page
    assert reverse("review", args=[off.pk]) in page


def test_the_list_of_takes_asks_for_another(as_user, student_user, off):
    page = as_user(student_user).get(reverse("requirement_takes", args=[off.entry_id, off.requirement_id]))
    assert "please record again" in page.content.decode()
    assert "waits for the teacher" not in page.content.decode()


def test_its_player_may_have_it_heard_all_the_same(as_user, student_user, teacher, off):
    as_user(student_user).post(reverse("take_hear_anyway", args=[off.pk]))
    assert list(as_user(teacher).get(reverse("review_queue")).context["page"]) == [off]
    assert "Record again" not in page_of(as_user(student_user), off)


def test_asking_twice_or_for_another_take_changes_nothing(as_user, student_user, off, entry, requirement):
    client = as_user(student_user)
    client.post(reverse("take_hear_anyway", args=[off.pk]))
    first = Take.objects.get(pk=off.pk).hear_anyway_at
    client.post(reverse("take_hear_anyway", args=[off.pk]))
    assert Take.objects.get(pk=off.pk).hear_anyway_at == first
    usable = plain_take(entry, requirement, sha256="1" * 64)
    client.post(reverse("take_hear_anyway", args=[usable.pk]))
    assert Take.objects.get(pk=usable.pk).hear_anyway_at is None


def test_it_is_no_take_yet_and_the_reason_says_so(off, entry, requirement):
    cell = cell_for(entry, requirement)
    assert cell.state is State.BACK_TO_WORK
    assert cell.readiness.reasons == ("The recording handed in cannot be judged; please record again.",)
    late = cell_for(entry, requirement, at=requirement.due_at + timedelta(hours=1))
    assert late.state is State.OVERDUE


def test_it_neither_hides_nor_unmakes_an_earlier_take(entry, requirement, off, as_user, teacher):
    earlier = plain_take(entry, requirement, minutes_ago=60, sha256="1" * 64)
    Analysis.objects.filter(take=earlier).update(state=Analysis.State.DONE, result={})
    assert list(as_user(teacher).get(reverse("review_queue")).context["page"]) == [earlier]
    cell = cell_for(entry, requirement)
    assert (cell.take, cell.state) == (earlier, State.WAITING_FOR_REVIEW)


def test_an_answer_given_all_the_same_counts(off, entry, requirement, teacher):
    Review.objects.create(take=off, reviewer=teacher, state=Review.State.RELEASED, released_at=timezone.now())
    assert cell_for(entry, requirement).take == off


def test_measuring_again_begins_without_the_verdict(off):
    assert off.analysis.start_again()
    assert Analysis.objects.get(take=off).unusable == ""
