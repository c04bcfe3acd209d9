"""How mail fares, for the directors' page and the health page."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Min

from studio.models import OutgoingMail


@dataclass(frozen=True, slots=True)
class MailState:
    held_up: int  # wait because the mail server does not take them, or no worker sends them
    since: datetime | None  # when the oldest of these was written
    never_arrived: int  # in the last days


def mail_state() -> MailState:
    held_up = OutgoingMail.objects.held_up()
    return MailState(
        held_up=held_up.count(),
        since=held_up.aggregate(since=Min("created_at"))["since"],
        never_arrived=OutgoingMail.objects.never_arrived().count(),
    )
