"""Listeners' remarks on one take, handed on as part of its one answer: a draft until somebody releases it."""

from django.db import transaction
from django.db.models import F
from django.utils import timezone
from django.utils.translation import gettext as _

from recordings.models import PanelTake, Review
from recordings.reviews.draft import ensure_draft


class NothingToHandOn(Exception):
    """The message is one sentence for the director."""


@transaction.atomic
def hand_on(row: PanelTake) -> None:
    """Put them, without the listeners' names, behind the words of the answer's draft."""
    said = [remark.strip() for remark in row.sheets.values_list("remark", flat=True) if remark.strip()]
    if not said:
        raise NothingToHandOn(_("Nobody wrote a remark on this take."))
    now = timezone.now()
    if not PanelTake.objects.filter(pk=row.pk, handed_on_at=None).update(handed_on_at=now):
        raise NothingToHandOn(_("These remarks are in the draft already."))
    review = ensure_draft(row.take)
    words = "\n".join([_("From the listeners of the mock audition:"), *(f"– {remark}" for remark in said)])
    rows = Review.objects.unreleased().filter(pk=review.pk)
    rows.update(edition=F("edition"))  # holds the row
    review.refresh_from_db(fields=["words"])
    joined = f"{review.words.rstrip()}\n\n{words}" if review.words.strip() else words
    # A desk that is open on it is told that there is a newer text, and overwrites nothing.
    if not rows.update(words=joined, edition=F("edition") + 1, window="", saved_at=now):
        raise NothingToHandOn(_("This take has been answered. Withdraw the answer first, then hand them on."))
