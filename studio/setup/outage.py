"""The database, the cache or the sounds are away: a short outage is waited out, a long one told and tried.

PostgreSQL is waited for before a page begins its work; SQLite waits by itself where another writes (`timeout`
in the settings). What still fails becomes a page that keeps what was typed. Nothing here asks the database.
"""

import re
import sys
import threading
import time
from collections.abc import Callable

from django.conf import settings
from django.db import InterfaceError, OperationalError, connection
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template.loader import render_to_string
from django.utils import translation
from django.utils.translation import get_language_from_request
from django.utils.translation import gettext as _
from django.views.defaults import server_error as fault

# Choices: a restart of the database takes seconds; who waits holds a thread of the web server.
SHORT_S, LOOK_EVERY_S, WAIT_AT_ONCE = 20.0, 0.5, 8
AGAIN_S = 10
DRAWN_SOON_S = 3
# SQLite tells faults of ours (a missing table) by the same exception.
SQLITE_AWAY = re.compile(r"locked|busy|unable to open|disk", re.IGNORECASE)


class StorageAway(OSError):
    """The storage of the sounds does not answer."""


class Patience:
    """Waits for what `reach` reaches, but for no longer than a short outage lasts, counted from its begin."""

    def __init__(self, reach: Callable[[], None]) -> None:
        self._reach = reach
        self._away_since: float | None = None
        self._waiting = threading.BoundedSemaphore(WAIT_AT_ONCE)

    def reached(self) -> bool:
        if self._try():
            return True
        if not self._waiting.acquire(blocking=False):
            return False
        try:
            while time.monotonic() - (self._away_since or time.monotonic()) < SHORT_S:
                time.sleep(LOOK_EVERY_S)
                if self._try():
                    return True
            return False
        finally:
            self._waiting.release()

    def _try(self) -> bool:
        try:
            self._reach()
        except (OperationalError, InterfaceError):
            self._away_since = self._away_since or time.monotonic()
            return False
        self._away_since = None
        return True


def _reach_database() -> None:
    connection.close_if_health_check_failed()
    connection.ensure_connection()


def wait_for_database(get_response: Callable[[HttpRequest], HttpResponse]):
    """Before anything asks the database; /healthz is to say at once what is down."""
    patience = Patience(_reach_database)

    def middleware(request: HttpRequest) -> HttpResponse:
        waits = connection.vendor == "postgresql" and request.path != "/healthz"
        if waits and not patience.reached():
            return away(request)
        return get_response(request)

    return middleware


def server_error(request: HttpRequest) -> HttpResponse:
    """The answer to every exception nobody caught."""
    return away(request) if is_outage(sys.exc_info()[1]) else fault(request)


def is_outage(error: BaseException | None) -> bool:
    while error is not None:
        if isinstance(error, InterfaceError | StorageAway):
            return True
        if isinstance(error, OperationalError):
            return connection.vendor != "sqlite" or bool(SQLITE_AWAY.search(str(error)))
        error = error.__cause__ or error.__context__
    return False


def away(request: HttpRequest) -> HttpResponse:
    """A page that tries again with all that was typed; only passwords and files are asked anew."""
    with translation.override(get_language_from_request(request)):
        if request.headers.get("Accept", "").startswith("application/json"):
            sentence = _("The studio does not answer at the moment. Please try again in a minute.")
            response: HttpResponse = JsonResponse({"error": sentence}, status=503)
        else:
            heading = _("The studio does not answer at the moment")
            page = render_to_string("503.html", _kept(request) | {"heading": heading})
            response = HttpResponse(page, status=503)
    return _ask_again(response, AGAIN_S)


def being_drawn(request: HttpRequest) -> HttpResponse:
    """The same while long music is drawn; in the reader's language, which is known by then."""
    told = {"heading": _("This music is long; it is being drawn"), "again_s": DRAWN_SOON_S}
    return _ask_again(
        HttpResponse(render_to_string("503.html", _kept(request) | told), status=503), DRAWN_SOON_S
    )


def _ask_again(response: HttpResponse, after_s: int) -> HttpResponse:
    response["Retry-After"] = str(after_s)
    response["Cache-Control"] = "private, no-store"
    return response


def _kept(request: HttpRequest) -> dict:
    context: dict = {"again_s": AGAIN_S, "path": request.get_full_path(), "sent": request.method == "POST"}
    if not context["sent"]:
        return context
    try:
        is_small = int(request.META.get("CONTENT_LENGTH") or 0) <= settings.SMALL_BODY_BYTES
        fields = list(request.POST.lists()) if is_small else []
        files = list(request.FILES) if is_small else []
    except Exception:  # a body that broke off, or was begun to be read in another way
        return context
    return context | {
        "fields": [(name, value) for name, values in fields for value in values if "password" not in name],
        "passwords": [name for name, _values in fields if "password" in name],
        "files": files,
    }
