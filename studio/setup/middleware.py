from collections.abc import Callable, Collection
from zoneinfo import ZoneInfo

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import SESSION_KEY, logout
from django.db import DatabaseError
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from studio.models import Studio
from studio.services.events import request_at_work
from studio.setup import sessions


def studio_time_zone(get_response: Callable[[HttpRequest], HttpResponse]):
    """Times are stored in UTC, entered and shown in the studio's zone."""

    def middleware(request: HttpRequest) -> HttpResponse:
        studio = vars(request)["studio"] = _studio()
        with timezone.override(ZoneInfo(studio.time_zone)):
            return get_response(request)

    return middleware


def _studio() -> Studio:
    try:
        return Studio.current()
    except DatabaseError:
        # /healthz must still be able to say that the database is what is down.
        return Studio(name="Fairhearing", time_zone=settings.STUDIO_TIME_ZONE)


def end_old_sign_ins(get_response: Callable[[HttpRequest], HttpResponse]):
    """Who was away too long, or signed in too long ago, signs in again."""

    def middleware(request: HttpRequest) -> HttpResponse:
        if SESSION_KEY in request.session:
            if reason := sessions.why_over(request.session):
                logout(request)
                messages.info(request, reason)
            else:
                sessions.seen(request.session)
        return get_response(request)

    return middleware


def who_acts(get_response: Callable[[HttpRequest], HttpResponse]):
    """The record of events asks the request who did it, and only where something is written."""

    def middleware(request: HttpRequest) -> HttpResponse:
        token = request_at_work.set(request)
        try:
            return get_response(request)
        finally:
            request_at_work.reset(token)

    return middleware


def own_language(get_response: Callable[[HttpRequest], HttpResponse]):
    """Who chose a language reads it everywhere; all others read what their browser asks for."""

    def middleware(request: HttpRequest) -> HttpResponse:
        if SESSION_KEY in request.session and request.user.is_authenticated and request.user.language:
            translation.activate(request.user.language)
            request.LANGUAGE_CODE = translation.get_language()
        return get_response(request)

    return middleware


def asks_for_other(request: HttpRequest, free: Collection[str]) -> bool:
    """Whether somebody signed in asks for a page that is neither among these nor one of signing in."""
    if SESSION_KEY not in request.session or not request.user.is_authenticated:
        return False
    match = request.resolver_match
    return match is not None and match.url_name not in free and not match.route.startswith("accounts/")


class GuestsStay:
    """Who was invited to listen in one panel, and is nothing else here, finds no other page."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Callable, args, kwargs) -> HttpResponse | None:
        user = request.user
        if asks_for_other(request, settings.GUEST_PAGES) and user.is_authenticated and user.is_only_guest:
            raise Http404
        return None


def keep_out_of_caches(get_response: Callable[[HttpRequest], HttpResponse]):
    """Pages of a signed-in person are not kept: on a shared computer Back after signing out shows none.

    The cookie decides, not the account, so that nothing is asked of a database that may be down. Answers
    that say themselves how long they last, such as sounds and drawings, keep their word.
    """

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if settings.SESSION_COOKIE_NAME in request.COOKIES and not response.has_header("Cache-Control"):
            response["Cache-Control"] = "private, no-store"
        return response

    return middleware


class SmallBodies:
    """Refuses a large body before a byte of it is read, but for the pages that take files from who signed in.

    Those are marked by `takes_files`; what such a page accepts it says itself.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Callable, args, kwargs) -> HttpResponse | None:
        announced = request.META.get("CONTENT_LENGTH") or "0"
        if not announced.isdecimal():
            return HttpResponse(status=400)
        if int(announced) <= settings.SMALL_BODY_BYTES:
            return None
        if getattr(view, "takes_files", False) and request.user.is_authenticated:
            return None
        return HttpResponse(_("This page takes no files."), content_type="text/plain", status=413)
