"""How many tries of a password or a code are judged: each is counted before anybody looks at it.

Counted are a person's tries from one address, those from one address for anybody, and a person's from
anywhere. A device its person has signed in on before is counted by itself, so that a stranger's tries, were
they from the same house, never keep the right password out. Nor do the person's own there: beyond the limit
each further password waits for its moment and is judged. All figures are choices.
"""

import logging
import time
from collections.abc import Iterator
from datetime import timedelta
from threading import BoundedSemaphore
from typing import NamedTuple, Self

from allauth.core.internal.ratelimit import get_ip
from django.core.exceptions import ValidationError
from django.db import DatabaseError
from django.http import HttpRequest
from django.utils.crypto import salted_hmac
from django.utils.translation import gettext_lazy as _

from studio.models import Tries
from studio.services.wrong_passwords import tell_of_wrong_passwords
from studio.setup.devices import device_of

log = logging.getLogger(__name__)

TOO_MANY = _("That was tried many times. Please wait a few minutes.")
NOT_NOW = _("We cannot check this at the moment. Please try again in a minute.")

DAY = timedelta(days=1)
# A mailed code has run out long before.
TRIES_OF_A_CODE = 3
# Longer than an authenticator's code is right.
USED_CODES_KEPT = timedelta(minutes=5)
# Between two passwords on a known device that has used up its tries: 240 an hour at most.
PAUSE = timedelta(seconds=15)
LOOK_EVERY_S = 0.25
# Each holds a thread of the web server.
_waiting = BoundedSemaphore(4)


class Limit(NamedTuple):
    allowed: int
    rest: timedelta


class Limits(NamedTuple):
    """Of one kind of try."""

    here: Limit
    address: Limit
    person: Limit
    device: Limit


FIVE_MINUTES, MINUTE = timedelta(minutes=5), timedelta(minutes=1)
_GUESSES = Limits(
    here=Limit(5, FIVE_MINUTES),
    address=Limit(10, MINUTE),
    person=Limit(20, FIVE_MINUTES),
    device=Limit(10, FIVE_MINUTES),
)
_MAILS = Limits(
    here=Limit(3, MINUTE), address=Limit(20, MINUTE), person=Limit(5, MINUTE), device=Limit(3, MINUTE)
)
PASSWORD, CODE, FACTOR, ASK_CODE, ASK_RESET = "password", "code", "factor", "ask code", "ask reset"
LIMITS = {
    PASSWORD: _GUESSES,
    CODE: _GUESSES,
    # Six digits: fewer guesses, from wherever they come.
    FACTOR: _GUESSES._replace(person=Limit(5, FIVE_MINUTES), device=Limit(5, FIVE_MINUTES)),
    ASK_CODE: _MAILS,
    ASK_RESET: _MAILS,
}


class Turn:
    """One try that may be judged, taken before it is; used with `with`, it counts only if that fails."""

    def __init__(self) -> None:
        self.taken: list[dict] = []

    def take(self, kind: str, key: str, limit: Limit) -> bool:
        row = {"kind": kind, "key": _hashed(key)}
        won = Tries.objects.take(**row, allowed=limit.allowed, rest=limit.rest)
        if won:
            self.taken.append(row)
        return won

    def give_back(self) -> None:
        taken, self.taken = self.taken, []
        try:
            for row in taken:
                Tries.objects.give_back(**row)
        except DatabaseError as error:
            # It stays counted: no reason to refuse what was right.
            log.warning("A try could not be given back: %s", type(error).__name__)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, error: type | None, *_more) -> None:
        if error is None:
            self.give_back()


def take_turn(kind: str, request: HttpRequest, person: str, *, code: str = "") -> Turn:
    """The turn to be judged, of the person with this mail address; else a ValidationError that says why not.

    Whatever is the matter with the table, nothing is judged uncounted.
    """
    turn = Turn()
    try:
        for counted, key, limit in _counters(kind, request, person.lower(), code):
            if turn.take(f"{kind} {counted}", key, limit):
                continue
            if kind == PASSWORD and counted in ("here", "person", "device"):
                _tell_once(person.lower())
            if kind == PASSWORD and counted == "device" and _take_after_pause(turn, key):
                continue
            turn.give_back()
            raise ValidationError(TOO_MANY, code="too_many")
    except DatabaseError as error:
        log.error("A try could not be counted, so it was not judged: %s", type(error).__name__)
        raise ValidationError(NOT_NOW, code="not_now") from error
    return turn


def is_first_use(person: str, code: str) -> bool:
    """Whether this right code was not used before, asked of the database: of two at once one is the first."""
    key = _hashed(f"{person.lower()} {''.join(code.split())}")
    return Tries.objects.take(kind="used", key=key, allowed=1, rest=USED_CODES_KEPT)


def _take_after_pause(turn: Turn, key: str) -> bool:
    """Whether the moment of this try came: one a `PAUSE`, and who comes earlier waits for it."""
    if not _waiting.acquire(blocking=False):
        return False
    try:
        deadline = time.monotonic() + 2 * PAUSE.total_seconds()
        while not (won := turn.take(f"{PASSWORD} pause", key, Limit(1, PAUSE))):
            if time.monotonic() > deadline:
                break
            time.sleep(LOOK_EVERY_S)
        return won
    finally:
        _waiting.release()


def _counters(kind: str, request: HttpRequest, person: str, code: str) -> Iterator[tuple[str, str, Limit]]:
    """The narrowest first: what it refuses uses up nothing of the wider ones, which others share."""
    limits = LIMITS[kind]
    if code:
        yield "code", f"{person} {code}", Limit(TRIES_OF_A_CODE, DAY)
    if device := device_of(request, person):
        yield "device", f"{person} {device}", limits.device
        return
    address = get_ip(request)
    yield "here", f"{person} {address}", limits.here
    yield "address", address, limits.address
    yield "person", person, limits.person


def _tell_once(person: str) -> None:
    """One mail a day, however many wrong passwords come; one for nobody goes to nobody."""
    if Tries.objects.take(kind="told", key=_hashed(person), allowed=1, rest=DAY):
        tell_of_wrong_passwords(person)


def _hashed(key: str) -> str:
    return salted_hmac("studio.tries", key, algorithm="sha256").hexdigest()
