"""How long a sign-in lasts: by when its person was last seen, and by when they signed in."""

import time

from django.conf import settings
from django.contrib.auth.signals import user_logged_in
from django.contrib.sessions.backends.base import SessionBase
from django.dispatch import receiver
from django.utils.translation import gettext as _

from studio.services.sign_ins import DEVICE, SEEN_AT, SIGNED_IN_AT, device_words

# Written down no more often than this, so that a page does not cost a write.
SEEN_EVERY_S = 900


@receiver(user_logged_in, dispatch_uid="studio.began")
def began(request, **_kwargs) -> None:
    request.session[SIGNED_IN_AT] = request.session[SEEN_AT] = time.time()
    request.session[DEVICE] = device_words(request.META.get("HTTP_USER_AGENT", ""))


def seen(session: SessionBase) -> None:
    """Note that its person is here; one from before these notes begins now."""
    if time.time() - session.get(SEEN_AT, 0) > SEEN_EVERY_S:
        session[SEEN_AT] = time.time()
        session.setdefault(SIGNED_IN_AT, time.time())


def why_over(session: SessionBase) -> str:
    """The sentence for a person who has to sign in again; empty where the sign-in still holds."""
    now = time.time()
    if now - session.get(SEEN_AT, now) > settings.SESSION_IDLE_HOURS * 3600:
        return _("You were away for a while. Please sign in again.")
    if now - session.get(SIGNED_IN_AT, now) > settings.SESSION_LONGEST_DAYS * 86400:
        return _("You have been signed in for a long time. Please sign in again.")
    return ""
