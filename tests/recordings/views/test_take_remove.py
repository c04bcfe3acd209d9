from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from recordings.models import Analysis, Review, Take
from recordings.reviews.draft import draft_review
from recordings.reviews.release import release_review, withdraw_review
from recordings.reviews.save import ReviewText, save_review
from recordings.takes.lifetime import remove_take


@pytest.fixture
def url(take):
    return reverse("take_remove", args=[take.pk])


@pytest.fixture
def answered(measured, teacher):
    review = draft_review(measured, None)
    review.marks.update(value=8)
    release_review(review, by=teacher)
    return review


def test_asks_before_it_does(as_user, student_user, url, take):
    page = as_user(student_user).get(url).content.decode()
    assert "will be gone for good" in page
    assert Take.objects.count() == 1
    assert url in as_user(student_user).get(reverse("take_detail", args=[take.pk])).content.decode()


@pytest.mark.parametrize("person", ["student_user", "guardian", "teacher", "director"])
def test_removes_rows_and_sound(request, as_user, person, url, take, django_capture_on_commit_callbacks):
    draft_review(take, None)
    storage, name = take.sound.storage, take.sound.name
    with django_capture_on_commit_callbacks(execute=True):
        answer = as_user(request.getfixturevalue(person)).post(url, follow=True)
    assert "The take is removed." in answer.content.decode()
    assert answer.redirect_chain[-1][0] == reverse(
        "requirement_takes", args=[take.entry_id, take.requirement_id]
    )
    assert not Take.objects.exists()
    assert not Analysis.objects.exists()
    assert not Review.objects.exists()
    assert not storage.exists(name)


def stays(browser, url, take, sentence: str) -> None:
    """No link, no question and no removal, but the reason."""
    assert url not in browser.get(reverse("take_detail", args=[take.pk])).content.decode()
    for answer in (browser.get(url, follow=True), browser.post(url, follow=True)):
        assert sentence in answer.content.decode()
    assert take.sound.storage.exists(take.sound.name)
    assert Take.objects.exists()


@pytest.mark.parametrize("withdrawn", [False, True])
def test_an_answered_take_stays(as_user, student_user, teacher, url, take, answered, withdrawn):
    if withdrawn:
        withdraw_review(answered, by=teacher)
    stays(as_user(student_user), url, take, "The teacher has answered this take")


def test_what_a_teacher_has_begun_to_write_is_not_lost(as_user, student_user, teacher, url, measured):
    review = draft_review(measured, None)
    save_review(review, ReviewText(words="Half a thought"), edition=review.edition, by=teacher)
    edition = Review.objects.get().edition
    stays(as_user(student_user), url, measured, "The teacher is writing about this take")
    assert Review.objects.get().words == "Half a thought"
    assert Review.objects.get().edition == edition


def test_after_the_closing_time_takes_stay(as_user, guardian, url, take, audition):
    audition.closes_at = timezone.now() - timedelta(hours=1)
    audition.save()
    stays(as_user(guardian), url, take, "This audition has closed")


def test_a_director_removes_any_take_as_guardians_are_promised(as_user, director, url, take, answered):
    browser = as_user(director)
    assert "goes with it" in browser.get(url).content.decode()
    browser.post(url)
    assert not Take.objects.exists()
    assert not Review.objects.exists()


def test_the_same_file_may_come_again(as_user, student_user, url, take, hand_in, wav):
    as_user(student_user).post(url)
    assert hand_in(wav).is_new


def test_a_second_click_finds_nothing(as_user, student_user, url):
    browser = as_user(student_user)
    browser.post(url)
    assert browser.post(url).status_code == 404


def test_measuring_that_is_under_way_ends(take):
    take.analysis.claim_for("one")
    remove_take(take, by=take.uploaded_by)
    assert not take.analysis.write_heartbeat("one", stage="", progress_percent=50)
    assert not take.analysis.finish("one", {
        "version": "test", "recording": {"duration_s": 1}, "tempo": {"metronome_bpm": 1},
        "form": {"share_played": 1, "complete": True, "note_count": 0},
    "intonation": {"judged": False}, "tuning": {"a4_hz": 440},
    })  # fmt: skip


@pytest.mark.parametrize("person", ["other_student_user", "other_guardian", "other_teacher"])
def test_strangers(request, as_user, person, url):
    assert as_user(request.getfixturevalue(person)).post(url).status_code == 404
    assert Take.objects.exists()


def test_anonymous(as_user, url):
    assert as_user(None).post(url).status_code == 302
    assert Take.objects.exists()
