"""An upload in pieces from its beginning to the take: who may begin one, how many, when it is safe."""

from datetime import datetime, timedelta

from django.db import transaction
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from recordings.models import Take, Upload
from recordings.models.upload import GRACE, LIFETIME
from recordings.upload.handler import largest_bytes
from recordings.upload.parts import whole
from recordings.upload.receive import Received, Refused, receive_take, why_not_now
from recordings.upload.room import has_room_for
from recordings.upload.stored import NoRoom
from studio.models import User

# Of one person, over all students: choices. The bytes are those of so many takes of the largest size.
MOST_AT_ONCE, MOST_LARGEST = 10, 4


class TooMany(Refused):
    """The person has as much on the way as one may have."""

    def __init__(self, sentence: str, again_at: datetime) -> None:
        super().__init__(sentence)
        self.again_at = again_at

    def seconds(self) -> int:
        return max(0, round((self.again_at - timezone.now()).total_seconds()))


def known_take(upload: Upload) -> Take | None:
    """The take this very file was handed in as before."""
    same = Take.objects.filter(entry=upload.entry, requirement=upload.requirement, sha256=upload.sha256)
    return same.first()


def begin(upload: Upload) -> Upload:
    """Store the wish, or find the same one begun before: what is there of it need not come again.

    Raises Refused, TooMany and NoRoom before a byte is sent.
    """
    if reason := why_not_now(upload.entry, upload.entry.student):
        raise Refused(reason)
    with transaction.atomic():
        # One after the other: two windows at once must not both find the last place free.
        User.objects.select_for_update().get(pk=upload.person_id)
        mine = Upload.objects.unfinished().filter(person=upload.person)
        same = mine.filter(entry=upload.entry, requirement=upload.requirement, sha256=upload.sha256)
        if begun := same.first():
            return begun
        _check_quota(list(mine), upload.size)
        _check_room(upload.size)
        upload.save(force_insert=True)
    return upload


def _check_quota(mine: list[Upload], size: int) -> None:
    many = len(mine) >= MOST_AT_ONCE
    if mine and (many or sum(one.size for one in mine) + size > MOST_LARGEST * largest_bytes()):
        again_at = min(one.expires_at for one in mine)
        sentence = _(
            "You have as many recordings on their way as one person may have. Let them arrive or discard "
            "one; the oldest is given up by itself on %(when)s, and then you can try again."
        )
        when = date_format(timezone.localtime(again_at), str(_("j F Y, H:i")))
        raise TooMany(sentence % {"when": when}, again_at)


def _check_room(size: int) -> None:
    # Its pieces, and once all are there the whole beside them; and what others have begun must fit too.
    if not has_room_for(2 * size + Upload.objects.unfinished().bytes_to_come()):
        raise NoRoom


def on_their_way(person: User) -> dict:
    """Template context of what the person began and did not finish, on whatever device."""
    return {
        "unfinished": Upload.objects.unfinished().of(person),
        "upload_days": LIFETIME.days,
        "grace_hours": GRACE // timedelta(hours=1),
    }


def why_not_go_on(upload: Upload) -> str:
    """The sentence saying why nothing of it may come in now; empty where it may."""
    return why_not_now(upload.entry, upload.entry.student, upload.counts_at())


def finish(upload: Upload) -> Received:
    """Make a take of a whole upload; asked again it gives the same take.

    Raises Refused with a sentence, NoRoom, and WrongBytes where some of it has to come again. The pieces
    stay until there is a take: whatever went wrong, the last step can be tried again.
    """
    if upload.take:
        return Received(upload.take, is_new=False)
    with whole(upload) as file:
        received = receive_take(
            entry=upload.entry,
            requirement=upload.requirement,
            file=file,
            by=upload.person,
            counts_at=upload.counts_at(),
        )
    with transaction.atomic():
        Upload.objects.filter(pk=upload.pk).update(take=received.take)
        upload.parts.all().delete()
    return received
