"""How long a sign-in lasts: by when its person was last seen, and by when they signed in."""

import time

from django.conf import settings
from django.contrib.auth.signals import user_logged_in
from django.contrib.sessions.backends.base import SessionBase
from django.dispatch import receiver

SIGNED_IN_AT, SEEN_AT = "signed_in_at", "seen_at"
# Written down no more often than this, so that a page does not cost a write.
SEEN_EVERY_S = 900


@receiver(user_logged_in, dispatch_uid="studio.began")
def began(request, **_kwargs) -> None:
    request.session[SIGNED_IN_AT] = request.session[SEEN_AT] = time.time()


def seen(session: SessionBase) -> None:
    """Note that its person is here; one from before these notes begins now."""
    if time.time() - session.get(SEEN_AT, 0) > SEEN_EVERY_S:
        session[SEEN_AT] = time.time()
        session.setdefault(SIGNED_IN_AT, time.time())


def is_over(session: SessionBase) -> bool:
    now = time.time()
    away_s, in_all_s = now - session.get(SEEN_AT, now), now - session.get(SIGNED_IN_AT, now)
    return away_s > settings.SESSION_IDLE_HOURS * 3600 or in_all_s > settings.SESSION_LONGEST_DAYS * 86400
