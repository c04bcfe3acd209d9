from collections.abc import Callable
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from studio.models import Studio


def studio_time_zone(get_response: Callable[[HttpRequest], HttpResponse]):
    """Times are stored in UTC, entered and shown in the studio's zone."""

    def middleware(request: HttpRequest) -> HttpResponse:
        request.studio = Studio.current()
        with timezone.override(ZoneInfo(request.studio.time_zone)):
            return get_response(request)

    return middleware
