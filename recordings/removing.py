"""Taking a take back: as long as no review of it was ever released, it can be removed with all about it."""

from django.db import transaction
from django.db.models import F

from recordings.models import Review, ReviewEvent, Take


def was_answered(take: Take) -> bool:
    """Whether a review of `take` is released, or was once: that it was given stays in the history."""
    released = Review.objects.filter(take=take, state=Review.State.RELEASED)
    given = ReviewEvent.objects.filter(review__take=take, kind=ReviewEvent.Kind.RELEASED)
    return released.exists() or given.exists()


@transaction.atomic
def remove_take(take: Take) -> bool:
    """Delete `take`, its analysis, its draft and its sound; False (and nothing done) for an answered one."""
    # Counting up first holds the row, so that no release comes between the look and the removal.
    Review.objects.filter(take=take).update(edition=F("edition") + 1)
    if was_answered(take):
        return False
    Take.objects.filter(pk=take.pk).delete()
    return True
