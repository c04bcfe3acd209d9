"""How mail fares, for the directors' page and the health page."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Min

from studio.models import OutgoingMail


@dataclass(frozen=True, slots=True)
class MailState:
    held_up: int  # all that wait, where the mail server takes nothing or no worker sends
    since: datetime | None  # when the oldest of these was written
    never_arrived: int  # in the last days


def mail_state() -> MailState:
    waiting = OutgoingMail.objects.waiting()
    if not waiting.held_up().exists():
        waiting = waiting.none()
    return MailState(
        held_up=waiting.count(),
        since=waiting.aggregate(since=Min("created_at"))["since"],
        never_arrived=OutgoingMail.objects.never_arrived().count(),
    )
