import uuid

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from recordings.access import upload_or_404
from recordings.models import Upload
from recordings.upload import tus
from recordings.upload.at_once import coming_in
from recordings.upload.parts import Moved, WrongBytes, keep_part
from recordings.upload.probe import NotNow
from recordings.upload.receive import NoRecording, Refused
from recordings.upload.resumable import finish, why_not_go_on
from recordings.upload.room import has_room_for
from recordings.upload.stored import NoRoom
from recordings.upload.watch import refuse_for_room
from repertoire.uploads import takes_files
from studio.request import SignedInRequest


@takes_files
@require_http_methods(["HEAD", "PATCH", "DELETE", "POST"])
@login_required
@tus.speaks_tus
def upload_part(request: SignedInRequest, upload_id: uuid.UUID) -> HttpResponse:
    """One upload on its way: where it stands, its next piece, its end before the time."""
    upload = upload_or_404(request.user, upload_id)
    tus.require_version(request)
    if upload.is_expired():
        raise tus.Answer(410)
    does = {"HEAD": _stand, "PATCH": _go_on, "DELETE": _end}.get(tus.method_of(request))
    if does is None:
        raise tus.Answer(405, headers={"Allow": "HEAD, PATCH, DELETE"})
    return does(request, upload)


def _stand(request: SignedInRequest, upload: Upload) -> HttpResponse:
    headers = {"Upload-Length": str(upload.size), **tus.where_it_stands(upload), **_take_of(upload)}
    if upload.metadata:
        headers["Upload-Metadata"] = upload.metadata
    return HttpResponse(headers=headers)


def _end(request: SignedInRequest, upload: Upload) -> HttpResponse:
    upload.delete()
    return HttpResponse(status=204)


def _go_on(request: SignedInRequest, upload: Upload) -> HttpResponse:
    if request.content_type != tus.PIECE:
        raise tus.Answer(415)
    if tus.number_in(request, "Upload-Offset") != upload.offset:
        raise tus.Answer(409)
    announced, checksum = int(request.META.get("CONTENT_LENGTH") or 0), tus.checksum_in(request)
    if announced > upload.size - upload.offset:
        raise tus.Answer(413)
    try:
        with coming_in(request.user):
            _take_in(request, upload, announced, checksum)
    except NotNow as reason:
        # The page waits and goes on by itself.
        raise tus.Answer(503, str(reason), {"Retry-After": "30"}) from reason
    except NoRecording as reason:
        raise tus.Answer(422, str(reason)) from reason
    except Refused as reason:
        raise tus.Answer(403, str(reason)) from reason
    except Moved as moved:
        raise tus.Answer(409) from moved
    except WrongBytes as wrong:
        raise tus.Answer(tus.WRONG_SUM) from wrong
    except NoRoom as full:
        raise tus.Answer(507, refuse_for_room(upload.entry)) from full
    return HttpResponse(status=204, headers={**tus.where_it_stands(upload), **_take_of(upload)})


def _take_in(request: SignedInRequest, upload: Upload, announced: int, checksum) -> None:
    """Its bytes, and with the last the take; an empty piece of a whole upload asks for the take anew."""
    if upload.take is None and (reason := why_not_go_on(upload)):
        raise Refused(reason)
    if not has_room_for(announced):
        raise NoRoom
    keep_part(upload, request, most=announced, checksum=checksum)
    if upload.is_whole:
        upload.take = finish(upload).take


def _take_of(upload: Upload) -> dict[str, str]:
    """Where the take is to be seen, once there is one."""
    return {"Content-Location": reverse("take_detail", args=[upload.take.pk])} if upload.take else {}
