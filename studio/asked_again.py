"""Before roles, guardians and accounts change, their director shows once more who is at the keyboard."""

import time
from collections.abc import Callable
from datetime import timedelta
from functools import wraps

from allauth.account.internal.flows.login import get_authentication_records
from allauth.account.internal.flows.reauthentication import suspend_request
from allauth.mfa.models import Authenticator
from django.http import HttpResponse
from django.urls import reverse

from studio.request import SignedInRequest

# Long enough to invite a class of guardians in one go, short for a desk somebody has left. A choice.
ASKED_EVERY = timedelta(minutes=15)


def asked_again(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """A POST waits until its person has shown themselves lately: by the second factor where there is one.

    What was typed is kept meanwhile. Who signs in by mailed codes alone has nothing to be asked for.
    """

    @wraps(view)
    def guarded(request: SignedInRequest, *args, **kwargs) -> HttpResponse:
        if request.method == "POST" and request.user.is_authenticated:
            page = _page_that_asks(request)
            if page and not _shown_lately(request, page):
                return suspend_request(request, reverse(page))
        return view(request, *args, **kwargs)

    return guarded


def has_second_factor(user) -> bool:
    return Authenticator.objects.filter(user=user, type=Authenticator.Type.TOTP).exists()


def _page_that_asks(request: SignedInRequest) -> str:
    if has_second_factor(request.user):
        return "mfa_reauthenticate"
    return "account_reauthenticate" if request.user.has_usable_password() else ""


def _shown_lately(request: SignedInRequest, page: str) -> bool:
    """Signing in itself counts: it asks for the same."""
    wanted = "mfa" if page == "mfa_reauthenticate" else "password"
    records = get_authentication_records(request, request.user)
    shown = [each["at"] for each in records if each["method"] == wanted]
    return bool(shown) and time.time() - max(shown) < ASKED_EVERY.total_seconds()
