from collections.abc import Callable
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from studio.models import Studio


def studio_time_zone(get_response: Callable[[HttpRequest], HttpResponse]):
    """Times are stored in UTC, entered and shown in the studio's zone."""

    def middleware(request: HttpRequest) -> HttpResponse:
        request.studio = _studio()
        with timezone.override(ZoneInfo(request.studio.time_zone)):
            return get_response(request)

    return middleware


def _studio() -> Studio:
    try:
        return Studio.current()
    except DatabaseError:
        # /healthz must still be able to say that the database is what is down.
        return Studio(name="Fairhearing", time_zone=settings.STUDIO_TIME_ZONE)
