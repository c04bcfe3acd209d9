"""A form changed after takes were marked on it: who keeps the version they have, and who goes over."""

from decimal import Decimal

import pytest
from django.urls import reverse

from recordings.models import Review
from recordings.reviews.draft import draft_review, ensure_draft
from recordings.reviews.release import release_review
from recordings.reviews.save import ReviewText, SavedElsewhere, save_review
from tests.recordings.measured_take import make_take

SUGGESTED = {"caption": "intonation", "low": 6, "high": 7.5, "evidence": "12 of 24 notes"}

pytestmark = pytest.mark.django_db


@pytest.fixture
def take(entry, requirement):
    return make_take(entry, requirement, findings=1, captions=[SUGGESTED])


@pytest.fixture
def review(take):
    return draft_review(take, take.analysis.result)


def mark_all(review, value=8):
    marks = {mark.caption_id: Decimal(value) for mark in review.marks.all()}
    save_review(review, ReviewText(marks=marks), edition=review.edition)


def new_version(rubric, **changes):
    """The same captions, the first out of five."""
    captions = list(rubric.captions.all())
    captions[0].high = 5
    return rubric.next_version(captions)


def reread(review):
    return Review.objects.select_related("take__requirement__rubric").get(pk=review.pk)


def on_rubrics(review):
    return {mark.caption.rubric for mark in review.marks.select_related("caption__rubric")}


def test_a_released_review_keeps_its_version_and_marks(review, rubric, director):
    mark_all(review)
    release_review(review, by=director)
    new_version(rubric)
    kept = ensure_draft(reread(review).take)
    assert kept.rubric == rubric
    assert on_rubrics(kept) == {rubric}
    assert [mark.value for mark in kept.marks.all()] == [8, 8, 8]


def test_a_draft_with_marks_keeps_its_version_and_gets_no_new_captions(review, rubric):
    mark_all(review)
    new_version(rubric)
    kept = ensure_draft(reread(review).take)
    assert on_rubrics(kept) == {rubric}
    draft_review(reread(review).take, reread(review).take.analysis.result)
    assert on_rubrics(reread(review)) == {rubric}


def test_a_draft_without_marks_goes_over_and_keeps_what_is_still_suggested(review, rubric):
    before = review.edition
    newer = new_version(rubric)
    moved = ensure_draft(reread(review).take)
    assert on_rubrics(moved) == {newer}
    assert [mark.caption.name for mark in moved.marks.all()] == ["Tone", "Intonation", "Musicality"]
    intonation = moved.marks.get(caption__name="Intonation")
    assert (intonation.suggested_low, intonation.suggested_high) == (6, Decimal("7.5"))
    with pytest.raises(SavedElsewhere):
        save_review(moved, ReviewText(words="typed meanwhile"), edition=before)


@pytest.mark.parametrize("shown", [True, False])
def test_students_see_the_total_only_where_the_director_wants_it(
    as_user, student_user, director, review, rubric, shown
):
    rubric.total_shown = shown
    rubric.save()
    mark_all(review)
    release_review(review, by=director)
    page = as_user(student_user).get(reverse("take_detail", args=[review.take_id])).content.decode()
    assert ("Total: 24 of 30" in page) is shown


def test_teachers_see_total_ties_and_version(as_user, teacher, review, rubric):
    first = rubric.captions.first()
    first.decides = 1
    first.save()
    mark_all(review)
    page = as_user(teacher).get(reverse("review", args=[review.take_id])).content.decode()
    assert "24 of 30" in page
    assert "Ties are read by Tone." in page
    assert "version 1" in page
