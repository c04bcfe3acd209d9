"""Taking a take back: who may remove it, and until when. What is removed is gone with all about it."""

from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _

from recordings.models import Review, ReviewEvent, Take
from studio.models import User


def why_it_stays(take: Take, user: User) -> str:
    """The sentence saying why `user` may not remove `take`; empty where it may be removed.

    A director may remove any take: guardians are promised so. Others may as long as the
    audition is open and nothing a teacher wrote would be lost with it.
    """
    if user.is_director:
        return ""
    if was_answered(take):
        return _("The teacher has answered this take, so it stays. The studio's director can remove it.")
    if Review.objects.filter(take=take, saved_at__isnull=False).exists():
        return _("The teacher is writing about this take, so it stays. The studio's director can remove it.")
    if take.entry.audition.is_closed():
        return _("This audition has closed, so its takes stay. The studio's director can remove one.")
    return ""


def was_answered(take: Take) -> bool:
    """Whether a review of `take` is released, or was once."""
    released = Review.objects.filter(take=take, state=Review.State.RELEASED)
    given = ReviewEvent.objects.filter(review__take=take, kind=ReviewEvent.Kind.RELEASED)
    return released.exists() or given.exists()


@transaction.atomic
def remove_take(take: Take, *, by: User) -> str:
    """Delete `take`, its analysis, its review and its sound; a sentence (and nothing done) where it stays."""
    # Writing the row, unchanged, holds it: no save and no release comes between look and removal.
    Review.objects.filter(take=take).update(edition=F("edition"))
    reason = why_it_stays(take, by)
    if not reason:
        Take.objects.filter(pk=take.pk).delete()
    return reason
