from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from recordings.access import cell_to_upload_to
from recordings.models import Upload
from recordings.upload import tus
from recordings.upload.handler import largest_bytes
from recordings.upload.receive import Refused, too_large
from recordings.upload.resumable import TooMany, begin, known_take
from recordings.upload.stored import NoRoom
from recordings.upload.watch import refuse_for_room
from studio.models import Entry, Requirement
from studio.request import SignedInRequest


@require_http_methods(["OPTIONS", "POST"])
@login_required
@tus.speaks_tus
def upload_begin(request: SignedInRequest, entry_id: int, requirement_id: int) -> HttpResponse:
    """Say what is spoken here, or begin an upload in pieces."""
    entry, requirement = cell_to_upload_to(request.user, entry_id, requirement_id)
    if request.method == "OPTIONS":
        return tus.what_is_spoken(largest_bytes())
    tus.require_version(request)
    upload = _wish(request, entry, requirement)
    if take := known_take(upload):
        messages.info(request, _("You have handed in this very file before: here is that take."))
        headers = {"Content-Location": reverse("take_detail", args=[take.pk])}
        return HttpResponse(status=200, headers=headers)
    try:
        upload = begin(upload)
    except TooMany as many:
        raise tus.Answer(429, str(many), {"Retry-After": str(many.seconds())}) from many
    except Refused as reason:
        raise tus.Answer(403, str(reason)) from reason
    except NoRoom as full:
        raise tus.Answer(507, refuse_for_room(entry)) from full
    address = request.build_absolute_uri(reverse("upload_part", args=[upload.pk]))
    return HttpResponse(status=201, headers={"Location": address, **tus.where_it_stands(upload)})


def _wish(request: SignedInRequest, entry: Entry, requirement: Requirement) -> Upload:
    size, metadata = tus.number_in(request, "Upload-Length"), tus.metadata_in(request)
    if size > largest_bytes():
        raise tus.Answer(413, too_large())
    return Upload(
        person=request.user,
        entry=entry,
        requirement=requirement,
        size=size,
        sha256=tus.sha256_in(metadata),
        metadata=request.headers.get("Upload-Metadata", ""),
        original_name=tus.name_in(metadata),
    )
