"""The calendar feed: making, renewing and ending its address, and what a calendar gets there."""

from allauth.core.internal.ratelimit import consume
from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from studio.models import CalendarFeed, Studio
from studio.request import SignedInRequest
from studio.services.calendar_events import events_for
from studio.services.calendar_file import calendar_file


@require_POST
@login_required
def account_calendar(request: SignedInRequest) -> HttpResponse:
    """The new address stands on the answer itself, since nothing that is kept could show it later."""
    secret = CalendarFeed.renew(request.user)
    address = settings.SITE_ADDRESS + reverse("calendar_feed", args=[secret])
    return _unkept(render(request, "studio/calendar_address.html", {"address": address}))


@require_POST
@login_required
def account_calendar_end(request: SignedInRequest) -> HttpResponse:
    CalendarFeed.objects.filter(user=request.user).delete()
    messages.success(request, _("The address has ended. Your calendar gets nothing more from here."))
    return redirect("account")


@require_safe
def calendar_feed(request: HttpRequest, secret: str) -> HttpResponse:
    """For a calendar, which signs in nowhere: whoever has the address may read."""
    if not consume(request, app="allauth.account", action="calendar_address", limit_get=True):
        return _said(_("Too many requests. Please wait a few minutes."), status=429)
    feed = CalendarFeed.objects.for_secret(secret).select_related("user").first()
    if feed is None:
        return _said(_("There is no calendar at this address."), status=404)
    if not consume(
        request, app="allauth.account", action="calendar_feed", key=feed.secret_hash, limit_get=True
    ):
        return _said(_("Too many requests. Please wait a few minutes."), status=429)
    return _dates(feed)


def _dates(feed: CalendarFeed) -> HttpResponse:
    now, language = timezone.now(), feed.spoken or settings.LANGUAGE_CODE
    with translation.override(language):
        content = calendar_file(events_for(feed.user, now), name=Studio.current().name, at=now)
    headers = {"Content-Language": language, "Content-Disposition": 'inline; filename="calendar.ics"'}
    return _unkept(HttpResponse(content, content_type="text/calendar; charset=utf-8", headers=headers))


def _said(sentence: str, *, status: int) -> HttpResponse:
    return _unkept(HttpResponse(sentence, content_type="text/plain; charset=utf-8", status=status))


def _unkept(response: HttpResponse) -> HttpResponse:
    response["Cache-Control"] = "private, no-store"
    return response
