"""Where a person is signed in: read from the sessions themselves, ended one by one or all at once."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.models import Session
from django.utils import timezone
from django.utils.crypto import salted_hmac

from studio.models import User

SIGNED_IN_AT, SEEN_AT, DEVICE = "signed_in_at", "seen_at", "device"

# What a browser writes of itself, and its name; of several that fit the first is meant.
BROWSERS = (
    *(("Edg", "Edge"), ("OPR", "Opera"), ("Firefox", "Firefox"), ("FxiOS", "Firefox")),
    *(("CriOS", "Chrome"), ("Chrome", "Chrome"), ("Safari", "Safari")),
)
SYSTEMS = (
    *(("iPhone", "iPhone"), ("iPad", "iPad"), ("Android", "Android"), ("Windows", "Windows")),
    *(("Mac OS", "macOS"), ("CrOS", "ChromeOS"), ("Linux", "Linux")),
)


@dataclass(frozen=True, slots=True)
class SignIn:
    """`mark` names it on the page, and opens nothing; `device` is a browser and a system, if it is known."""

    mark: str
    device: str
    began_at: datetime | None
    seen_at: datetime | None
    is_this: bool


def sign_ins_of(user: User, *, this: str | None) -> list[SignIn]:
    """The one that asks (its session key is `this`) first, then those seen last."""
    found = [_sign_in(session, told, this=this) for session, told in sessions_of(user)]
    longest_ago = datetime.min.replace(tzinfo=UTC)
    return sorted(
        found, key=lambda each: (each.is_this, each.seen_at or each.began_at or longest_ago), reverse=True
    )


def end_sign_in(user: User, mark: str) -> bool:
    ended = [session for session, _told in sessions_of(user) if _mark(session.session_key) == mark]
    for session in ended:
        session.delete()
    return bool(ended)


def end_sign_ins(user: User, *, but: str | None = None) -> int:
    """On every device, but for the session with this key; how many there were."""
    ended = [session for session, _told in sessions_of(user) if session.session_key != but]
    for session in ended:
        session.delete()
    return len(ended)


def sessions_of(user: User) -> Iterator[tuple[Session, dict[str, Any]]]:
    for session in Session.objects.filter(expire_date__gt=timezone.now()).iterator():
        told = session.get_decoded()
        if told.get(SESSION_KEY) == str(user.pk):
            yield session, told


def device_words(agent: str) -> str:
    """Browser and system in two words, from what a browser says of itself; empty where that says nothing."""
    said = [next((word for sign, word in known if sign in agent), "") for known in (BROWSERS, SYSTEMS)]
    return ", ".join(word for word in said if word)


def _sign_in(session: Session, told: dict[str, Any], *, this: str | None) -> SignIn:
    return SignIn(
        mark=_mark(session.session_key),
        device=told.get(DEVICE, ""),
        began_at=_moment(told.get(SIGNED_IN_AT)),
        seen_at=_moment(told.get(SEEN_AT)),
        is_this=session.session_key == this,
    )


def _moment(at: float | None) -> datetime | None:
    return datetime.fromtimestamp(at, UTC) if at else None


def _mark(key: str) -> str:
    return salted_hmac("studio.sign_in", key, algorithm="sha256").hexdigest()[:22]
