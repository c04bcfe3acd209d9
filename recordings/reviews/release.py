"""Showing a review to the student, and taking it back."""

from datetime import datetime

from django.db import transaction
from django.db.models import F
from django.utils import timezone

from recordings.models import Review, ReviewEvent
from recordings.reviews.events import record_event
from recordings.reviews.save import SavedElsewhere


class NotEveryCaptionMarked(Exception):
    """The release waits for marks; the message names the captions in the rubric's order."""


@transaction.atomic
def release_review(
    review: Review, *, by, edition: int | None = None, again: str = "", at: datetime | None = None
) -> bool:
    """Show the review to the student; False (and nothing done) where it is released already.

    With `again` (a `Review.Again`) it asks for another recording and carries no marks.

    Raises NotEveryCaptionMarked, or SavedElsewhere where `edition` is given and no longer the stored one.
    """
    review.refresh_from_db()
    if review.is_released:
        return False
    if edition is not None and edition != review.edition:
        raise SavedElsewhere
    unmarked = [mark.caption.name for mark in review.marks.select_related("caption") if mark.value is None]
    if unmarked and not again:
        raise NotEveryCaptionMarked(", ".join(unmarked))
    won = (
        Review.objects.unreleased()
        .filter(pk=review.pk, edition=review.edition)
        .update(
            state=Review.State.RELEASED,
            released_at=at or timezone.now(),
            again=again,
            reviewer=by,
            edition=F("edition") + 1,
        )
    )
    review.refresh_from_db()
    if not won:
        if review.is_released:
            return False
        raise SavedElsewhere
    record_event(review, ReviewEvent.Kind.RELEASED, by=by, at=at)
    return True


@transaction.atomic
def withdraw_review(review: Review, *, by, at: datetime | None = None) -> bool:
    """Take a released review back from the student; False where it is not released."""
    won = Review.objects.filter(pk=review.pk, state=Review.State.RELEASED).update(
        state=Review.State.WITHDRAWN, released_at=None, opened_at=None, again="", edition=F("edition") + 1
    )
    review.refresh_from_db()
    if won:
        record_event(review, ReviewEvent.Kind.WITHDRAWN, by=by, at=at)
    return bool(won)
