"""The devices a person has signed in on: a signed cookie, so that no stranger's tries lock its person out.

It names nobody (addresses are hashed) and opens nothing; it only has tries from this device counted apart.
"""

import secrets
from collections.abc import Callable

from django.conf import settings
from django.contrib.auth.signals import user_logged_in
from django.core import signing
from django.dispatch import receiver
from django.http import HttpRequest, HttpResponse
from django.utils.crypto import salted_hmac

from studio.services.new_device import tell_of_new_device
from studio.services.sign_ins import device_words

SALT = "studio.device"
KEPT_S = 365 * 24 * 3600
# A family or a studio's tablet; the one longest away is forgotten first. A choice.
MOST_PEOPLE = 8


@receiver(user_logged_in, dispatch_uid="studio.device")
def signed_in(request: HttpRequest, user, **_kwargs) -> None:
    vars(request)["signed_in_as"] = user.email
    if not device_of(request, user.email):
        tell_of_new_device(user, device_words(request.META.get("HTTP_USER_AGENT", "")))


def remember_device(get_response: Callable[[HttpRequest], HttpResponse]):
    """Who has got in, by all that was asked of them, is known on this device from now on."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if email := vars(request).get("signed_in_as"):
            _remember(request, response, email)
        return response

    return middleware


def device_of(request: HttpRequest, email: str) -> str:
    """The mark of this device where this person has signed in on it, else empty."""
    mark, people = _read(request)
    return mark if _hashed(email) in people else ""


def _remember(request: HttpRequest, response: HttpResponse, email: str) -> None:
    mark, people = _read(request)
    hashed = _hashed(email)
    people = [hashed, *(other for other in people if other != hashed)][:MOST_PEOPLE]
    response.set_cookie(
        settings.KNOWN_DEVICE_COOKIE_NAME,
        signing.dumps([mark or secrets.token_urlsafe(16), people], salt=SALT),
        max_age=KEPT_S,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )


def _read(request: HttpRequest) -> tuple[str, list[str]]:
    try:
        mark, people = signing.loads(
            request.COOKIES.get(settings.KNOWN_DEVICE_COOKIE_NAME, ""), salt=SALT, max_age=KEPT_S
        )
    except signing.BadSignature:
        return "", []
    return mark, people


def _hashed(email: str) -> str:
    return salted_hmac(SALT, email.lower(), algorithm="sha256").hexdigest()[:22]
