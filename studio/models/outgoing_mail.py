"""Every mail of the program, from the page that wants it until it is out, withdrawn or given up.

The row is the mail and a message to the workers only says that it is there. While it waits its contents lie
sealed, since links and codes open accounts; afterwards they are gone.
"""

import json
from datetime import timedelta

from django.db import models
from django.db.models.functions import Now

from studio.models.database_clock import from_now
from studio.setup.sealing import seal, unseal

# A conversation with the mail server has some seven steps of EMAIL_TIMEOUT at most.
LEASE = timedelta(minutes=5)
# After the first try, the second, ...; the last pause is kept until the mail comes too late. A choice.
PAUSES = tuple(timedelta(seconds=s) for s in (30, 60, 120, 300, 600, 900))
# Waiting this long without a try that failed means that no worker is at work.
TOO_OLD = timedelta(minutes=10)
# Long enough for a dead mail server to be mended, short enough not to surprise anybody. A choice.
GIVEN_UP_AFTER = timedelta(days=2)
# Directors are shown for a week what never arrived; the bare rows are kept for a month.
SHOWN_FOR, KEPT_FOR = timedelta(days=7), timedelta(days=30)


class OutgoingMailQuerySet(models.QuerySet["OutgoingMail"]):
    def waiting(self) -> "OutgoingMailQuerySet":
        return self.filter(state=OutgoingMail.State.WAITING)

    def due(self) -> "OutgoingMailQuerySet":
        free = models.Q(claimed_until=None) | models.Q(claimed_until__lt=Now())
        return self.waiting().filter(free, next_try_at__lte=Now(), send_until__gt=Now())

    def claim(self, pk: int) -> "OutgoingMail | None":
        """The mail, for the caller alone until the lease is over; None where it is not to be had."""
        won = self.due().filter(pk=pk).update(claimed_until=from_now(LEASE), tries=models.F("tries") + 1)
        return self.get(pk=pk) if won else None

    def held_up(self) -> "OutgoingMailQuerySet":
        """What the mail server did not take, and what no worker has looked at for too long."""
        unseen = models.Q(trouble="", created_at__lt=from_now(-TOO_OLD))
        return self.waiting().filter(unseen | models.Q(trouble=OutgoingMail.Trouble.SERVER))

    def never_arrived(self) -> "OutgoingMailQuerySet":
        """Lately refused for good, or too late."""
        ended = [OutgoingMail.State.REFUSED, OutgoingMail.State.TOO_LATE]
        return self.filter(state__in=ended, ended_at__gt=from_now(-SHOWN_FOR))

    def try_all_now(self) -> None:
        """The mail server answers again: what it did not take need not wait for its next turn."""
        self.waiting().filter(trouble=OutgoingMail.Trouble.SERVER).update(next_try_at=Now())

    def withdraw(self) -> int:
        return self.waiting().update(**_ended(OutgoingMail.State.WITHDRAWN))

    def end_late(self) -> int:
        late = self.waiting().filter(send_until__lte=Now())
        return late.update(**_ended(OutgoingMail.State.TOO_LATE))

    def forget_old(self) -> None:
        self.filter(ended_at__lt=from_now(-KEPT_FOR)).delete()


class OutgoingMail(models.Model):
    class Kind(models.TextChoices):
        LETTER = "letter"
        # Somebody asked for a new password for this address; whose it is, is looked up when it goes out, so
        # that the page that asks does the same for every address.
        RESET = "reset"

    class State(models.TextChoices):
        WAITING = "waiting"
        SENT = "sent"
        REFUSED = "refused"
        TOO_LATE = "too_late"
        WITHDRAWN = "withdrawn"

    class Trouble(models.TextChoices):
        SERVER = "server"
        RECIPIENT = "recipient"

    kind = models.CharField(max_length=10, choices=Kind.choices, default=Kind.LETTER)
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    invitation = models.ForeignKey(
        "studio.Invitation", null=True, blank=True, on_delete=models.CASCADE, related_name="mails"
    )
    language = models.CharField(max_length=10, blank=True)
    contents = models.TextField(blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    trouble = models.CharField(max_length=10, choices=Trouble.choices, blank=True)
    created_at = models.DateTimeField(db_default=Now())
    next_try_at = models.DateTimeField(db_default=Now())
    claimed_until = models.DateTimeField(null=True, blank=True)
    send_until = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    objects = OutgoingMailQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["state", "next_try_at"])]

    def __str__(self) -> str:
        return f"outgoing mail {self.pk}"

    def seal(self, *, to: str, subject: str, body: str) -> None:
        self.contents = seal(json.dumps([to, subject, body]))

    def unseal(self) -> tuple[str, str, str]:
        """Address, subject and body; raises Unsealable."""
        to, subject, body = json.loads(unseal(self.contents))
        return to, subject, body

    def end(self, state: str) -> None:
        """Let go of the contents; what was withdrawn meanwhile stays so."""
        OutgoingMail.objects.waiting().filter(pk=self.pk).update(**_ended(state))

    def try_again(self, trouble: str) -> None:
        """Give the mail back, to be tried after the next pause."""
        pause = PAUSES[min(self.tries, len(PAUSES)) - 1]
        OutgoingMail.objects.waiting().filter(pk=self.pk).update(
            trouble=trouble, next_try_at=from_now(pause), claimed_until=None
        )


def _ended(state: str) -> dict:
    return {"state": state, "ended_at": Now(), "contents": "", "trouble": "", "claimed_until": None}
