import pytest

from recordings.models import Review, ReviewEvent
from recordings.reviews.draft import ensure_draft
from recordings.reviews.release import NotEveryCaptionMarked, release_review, withdraw_review
from recordings.reviews.save import AlreadyReleased, ReviewText, SavedElsewhere, save_review
from tests.recordings.reviews.conftest import mark_all


def test_release_needs_every_mark_and_names_those_missing(review, teacher):
    with pytest.raises(NotEveryCaptionMarked, match="Tone, Intonation, Musicality"):
        release_review(review, by=teacher)
    assert not Review.objects.get().is_released


def test_release_is_done_once_and_tells_who_and_what(review, teacher):
    mark_all(review)
    assert release_review(review, by=teacher)
    assert not release_review(review, by=teacher)
    event = review.events.get(kind=ReviewEvent.Kind.RELEASED)
    assert event.by == teacher
    assert event.snapshot["marks"][0] == {"caption": "Tone", "value": "8.0", "low": "1.0", "high": "10.0"}


def test_release_of_an_edition_that_has_been_passed_is_refused(review, teacher):
    mark_all(review)
    with pytest.raises(SavedElsewhere):
        release_review(review, by=teacher, edition=review.edition - 1)


def test_a_released_review_is_not_changed(review, teacher):
    mark_all(review)
    release_review(review, by=teacher)
    with pytest.raises(AlreadyReleased):
        save_review(review, ReviewText(words="too late"), edition=review.edition)


def test_withdrawn_review_can_be_changed_and_released_again(review, teacher):
    mark_all(review)
    release_review(review, by=teacher)
    assert withdraw_review(review, by=teacher)
    assert not withdraw_review(review, by=teacher)
    mark_all(review, 9)
    assert release_review(review, by=teacher)
    kinds = [event.kind for event in review.events.all()]
    assert kinds == ["drafted", "released", "withdrawn", "released"]
    values = [event.snapshot["marks"][0]["value"] for event in review.events.exclude(kind="drafted")]
    assert values == ["8.0", "8.0", "9.0"]


def test_a_caption_added_later_wants_a_mark_too(take, review, teacher):
    mark_all(review)
    take.requirement.rubric.captions.create(position=9, name="Rhythm", low=1, high=10, step=1)
    again = ensure_draft(take)
    with pytest.raises(NotEveryCaptionMarked, match="Rhythm"):
        release_review(again, by=teacher)
