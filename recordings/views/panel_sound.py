from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.views.decorators.http import require_safe

from recordings.panels.access import sheet_or_404
from recordings.panels.sounds import MEDIA_TYPE
from recordings.upload.byte_ranges import ByteRange, OutOfRange, parse_range
from recordings.upload.range_bytes import answer_with
from studio.request import SignedInRequest


@require_safe
@login_required
def panel_sound(request: SignedInRequest, pk: int, code: str) -> HttpResponseBase:
    """The copy of a take that tells nothing but the playing, or one range of it, while the panel is open.

    No tag of the content (ETag) is given: it would be the same for everyone and every time, and so a name.
    """
    panel, sheet = sheet_or_404(request.user, pk, code)
    take = sheet.panel_take
    if not panel.is_open or not take.is_ready:
        raise Http404
    header = (
        "" if request.method == "HEAD" or "If-Range" in request.headers else request.headers.get("Range", "")
    )
    try:
        part = parse_range(header, size=take.size)
    except OutOfRange:
        return _with_headers(HttpResponse(status=416), 0, f"bytes */{take.size}")
    whole = ByteRange(0, take.size - 1)
    response = answer_with(request, take.sound, part or whole, 206 if part else 200)
    length = (part or whole).length
    return _with_headers(response, length, part.content_range(take.size) if part else "")


def _with_headers(response: HttpResponseBase, length: int, content_range: str) -> HttpResponseBase:
    response["Content-Type"] = MEDIA_TYPE
    response["Content-Length"] = str(length)
    response["Content-Disposition"] = "inline"
    response["Accept-Ranges"] = "bytes"
    if content_range:
        response["Content-Range"] = content_range
    response["Cache-Control"] = "private, no-store"
    response["Vary"] = "Cookie"
    return response
