"""How long a take stays: who may remove it and until when, and when its season lets it go."""

from datetime import date

from django.db import transaction
from django.db.models import F, OuterRef, Q, Subquery
from django.db.models.signals import post_delete
from django.dispatch import receiver
from django.utils.translation import gettext as _

from recordings.models import Dispatch, PanelSheet, Review, ReviewEvent, Take
from repertoire.models import delete_for_good
from studio.models import AgreedKeeping, Event, Season, User
from studio.services.events import record


def why_it_stays(take: Take, user: User) -> str:
    """The sentence saying why `user` may not remove `take`; empty where it may be removed.

    A director may remove any take: guardians are promised so. Others may as long as the
    audition is open and nothing a teacher or a panel wrote would be lost with it.
    """
    if user.is_director:
        return ""
    if was_answered(take):
        return _("The teacher has answered this take, so it stays. The studio's director can remove it.")
    if Review.objects.filter(take=take, saved_at__isnull=False).exists():
        return _("The teacher is writing about this take, so it stays. The studio's director can remove it.")
    if PanelSheet.objects.filter(panel_take__take=take, saved_at__isnull=False).exists():
        return _("A panel has written about this take, so it stays. The studio's director can remove it.")
    if Dispatch.objects.standing().filter(entry=take.entry_id).exists():
        return _("This entry is sent off, so its takes stay. The studio's director can remove one.")
    if take.entry.is_closed():
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


def expired_takes(day: date):
    """Takes kept on `day` longer than their season says, or than any guardian was promised the last time.

    Of what a season says and what stands in the agreement the earlier day wins.
    """
    ended = Season.objects.filter(ends_on__lt=day).only("ends_on", "keep_takes_days")
    over = [season.pk for season in ended if season.keep_takes_until < day]
    promised = AgreedKeeping.objects.filter(
        consent__student=OuterRef("entry__student"), season=OuterRef("entry__audition__season")
    ).order_by("-consent__given_at", "-consent__pk")
    last_promise = Subquery(promised.values("until")[:1])
    return Take.objects.annotate(promised_until=last_promise).filter(
        Q(entry__audition__season__in=over) | Q(promised_until__lt=day)
    )


def delete_expired(day: date) -> int:
    """Delete them with their sounds, analyses and reviews; how many there were."""
    count = 0
    for take in expired_takes(day).iterator(chunk_size=100):
        take.delete()
        count += 1
    return count


@receiver(post_delete, sender=Take, dispatch_uid="recordings.delete_sound")
def delete_sound(sender, instance: Take, **_kwargs) -> None:
    """The sound goes once the row is gone for good, and not before; the record of events keeps its number."""
    record(Event.Kind.TAKE_DELETED, instance)
    delete_for_good(instance.sound)
