from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import SuspiciousOperation
from django.http import HttpResponse, JsonResponse
from django.http.multipartparser import MultiPartParserError
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_POST

from recordings.access import cell_to_upload_to
from recordings.readiness.page import cell_context
from recordings.upload.at_once import coming_in
from recordings.upload.handler import TakeUploadHandler
from recordings.upload.probe import NotNow
from recordings.upload.receive import Refused, receive_take, too_large, why_not_now
from recordings.upload.room import has_room_for
from recordings.upload.stored import NoRoom
from recordings.upload.watch import refuse_for_room
from repertoire.uploads import takes_files
from studio.models import Entry, Requirement
from studio.request import SignedInRequest


# The body is read only after the person and the cell are known: the token inside it is checked then.
@takes_files
@csrf_exempt
@require_POST
@login_required
def take_upload(request: SignedInRequest, entry_id: int, requirement_id: int) -> HttpResponse:
    entry, requirement = cell_to_upload_to(request.user, entry_id, requirement_id)
    if reason := why_not_now(entry, entry.student):
        return _refuse(request, entry, requirement, reason)
    if not has_room_for(int(request.META.get("CONTENT_LENGTH") or 0)):
        return _refuse_for_room(request, entry, requirement)
    request.upload_handlers = [TakeUploadHandler(request)]
    try:
        with coming_in(request.user):
            return _receive(request, entry, requirement)
    except NoRoom:
        return _refuse_for_room(request, entry, requirement)
    except NotNow as reason:
        return _refuse(request, entry, requirement, str(reason), status=429)
    except (MultiPartParserError, SuspiciousOperation):
        unread = _("The file could not be read. Please give it a short, plain name and send it again.")
        return _refuse(request, entry, requirement, unread, status=400)


@csrf_protect
def _receive(request: SignedInRequest, entry: Entry, requirement: Requirement) -> HttpResponse:
    file = request.FILES.get("sound")
    if getattr(request, "take_too_large", False):
        return _refuse(request, entry, requirement, too_large(), status=413)
    if getattr(request, "no_room", False):
        raise NoRoom
    if file is None:
        return _refuse(request, entry, requirement, _("Please choose the recording first."))
    try:
        received = receive_take(entry=entry, requirement=requirement, file=file, by=request.user)
    except Refused as reason:
        return _refuse(request, entry, requirement, str(reason))
    page = reverse("take_detail", args=[received.take.pk])
    if not received.is_new:
        messages.info(request, _("You have handed in this very file before: here is that take."))
    elif not _wants_json(request):
        messages.success(request, _("Your take has arrived."))
    if _wants_json(request):
        return JsonResponse({"page": page, "is_new": received.is_new}, status=201 if received.is_new else 200)
    return redirect(page)


def _refuse_for_room(request: SignedInRequest, entry: Entry, requirement: Requirement) -> HttpResponse:
    return _refuse(request, entry, requirement, refuse_for_room(entry), status=507)


def _refuse(
    request: SignedInRequest, entry: Entry, requirement: Requirement, reason: str, *, status: int = 422
) -> HttpResponse:
    if _wants_json(request):
        return JsonResponse({"error": reason}, status=status)
    context = cell_context(request.user, entry, requirement, error=reason)
    return render(request, "recordings/requirement_takes.html", context, status=status)


def _wants_json(request: SignedInRequest) -> bool:
    return request.headers.get("Accept", "").startswith("application/json")
