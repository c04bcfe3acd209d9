"""What a device keeps for a time without network: whose it is, how long it may be shown, and which files.

The service worker (`static/studio/worker.js`) keeps pages marked by `repertoire.offline` in a cache of the
person named here, shows them no longer than a sign-in lasts without use, and throws them away at sign-out
and as soon as anybody else's page is seen.
"""

import time
from collections.abc import Callable
from functools import cache

from django.conf import settings
from django.contrib.auth import SESSION_KEY
from django.contrib.staticfiles.finders import get_finders
from django.http import HttpRequest, HttpResponse
from django.templatetags.static import static
from django.utils.crypto import salted_hmac

from repertoire.offline import MARK

ROOMS = ("studio/", "repertoire/", "recordings/")
KINDS = (".js", ".css", ".woff2", ".svg", ".png")
# The desk of teachers and the sheets of panels are no part of practising.
NOT_FOR_PRACTICE = ("recordings/desk", "recordings/review", "recordings/panel", "recordings/ribbons")


def say_whose_page(get_response: Callable[[HttpRequest], HttpResponse]):
    """Names the person, by a hash, on every page, and on what may be kept until when it may be shown."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        is_page = response.get("Content-Type", "").startswith("text/html")
        if (is_page or response.has_header(MARK)) and SESSION_KEY in request.session:
            response["Fairhearing-Person"] = person_key(request.session[SESSION_KEY])
            if response.has_header(MARK):
                response["Fairhearing-Until"] = str(int(time.time()) + 3600 * settings.SESSION_IDLE_HOURS)
        return response

    return middleware


def person_key(pk: str) -> str:
    """A name for the person's cache that tells nobody who it is."""
    return salted_hmac("studio.setup.offline", str(pk)).hexdigest()[:20]


@cache
def files_to_keep() -> list[str]:
    """Addresses of the scripts, styles, fonts and signs of the pages that are kept."""
    found = [path for finder in get_finders() for path, _storage in finder.list([])]
    kept = [
        path
        for path in found
        if path.startswith(ROOMS) and path.endswith(KINDS) and not path.startswith(NOT_FOR_PRACTICE)
    ]
    return [static(path) for path in sorted(set(kept)) if path != "studio/worker.js"]
