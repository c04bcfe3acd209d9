from django.contrib.auth.decorators import login_required
from django.core.exceptions import SuspiciousOperation
from django.http import Http404, HttpResponse, JsonResponse
from django.http.multipartparser import MultiPartParserError
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_POST, require_safe

from recordings.access import own_sight_reading, sight_or_404
from recordings.models import SightReading
from recordings.sight.page import reading_context
from recordings.sight.receive import receive
from recordings.upload.at_once import coming_in
from recordings.upload.handler import TakeUploadHandler
from recordings.upload.probe import NotNow
from recordings.upload.range_bytes import sound_answer
from recordings.upload.receive import Refused, too_large
from recordings.upload.room import has_room_for
from recordings.upload.stored import NoRoom
from repertoire.show.engraved import likely_width
from repertoire.uploads import takes_files
from studio.request import SignedInRequest


# The body is read only after the person and the exercise are known: the token inside it is checked then.
@takes_files
@csrf_exempt
@require_POST
@login_required
def sight_take(request: SignedInRequest, pk: int) -> HttpResponse:
    reading = own_sight_reading(request.user, pk)
    full = _("There is no room for recordings at the moment. Please send it again later; it is kept here.")
    if not has_room_for(int(request.META.get("CONTENT_LENGTH") or 0)):
        return _refuse(request, reading, full, status=507)
    request.upload_handlers = [TakeUploadHandler(request)]
    try:
        with coming_in(request.user):
            return _receive(request, reading)
    except NoRoom:
        return _refuse(request, reading, full, status=507)
    except NotNow as reason:
        return _refuse(request, reading, str(reason), status=429)
    except (MultiPartParserError, SuspiciousOperation):
        return _refuse(request, reading, _("The file could not be read. Please send it again."), status=400)


@csrf_protect
def _receive(request: SignedInRequest, reading: SightReading) -> HttpResponse:
    file = request.FILES.get("sound")
    if getattr(request, "take_too_large", False):
        return _refuse(request, reading, too_large(), status=413)
    if getattr(request, "no_room", False):
        raise NoRoom
    if file is None:
        return _refuse(request, reading, _("Please choose the recording first."))
    try:
        receive(reading, file)
    except Refused as reason:
        return _refuse(request, reading, str(reason))
    return JsonResponse({}, status=201) if _wants_json(request) else redirect("sight_reading", reading.pk)


def _refuse(request: SignedInRequest, reading: SightReading, reason: str, *, status: int = 422):
    if _wants_json(request):
        return JsonResponse({"error": reason}, status=status)
    width_px = likely_width(request.headers)
    context = reading_context(request.user, reading, width_px=width_px, error=reason)
    return render(request, "recordings/sight_reading.html", context, status=status)


def _wants_json(request: SignedInRequest) -> bool:
    return request.headers.get("Accept", "").startswith("application/json")


@require_safe
@login_required
def sight_sound(request: SignedInRequest, pk: int) -> HttpResponseBase:
    """The take of an exercise or one range of it, after the same permission check every time."""
    reading = sight_or_404(request.user, pk)
    if not reading.sound:
        raise Http404
    return sound_answer(request, reading.sound, size=reading.size, media_type=reading.media_type)
