from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_safe

from recordings.access import take_or_404
from recordings.models import Take
from recordings.upload.byte_ranges import ByteRange, OutOfRange, parse_range, range_still_holds
from recordings.upload.range_bytes import answer_with

# No copy outlives the person's permission.
CACHING = "private, no-store"


@require_safe
@login_required
def take_sound(request: HttpRequest, take_id: int) -> HttpResponseBase:
    """The bytes of a take, whole or one range of them, after the same permission check every time."""
    take = take_or_404(request.user, take_id)
    etag = f'"{take.sha256}"'
    without_bytes = get_conditional_response(request, etag=etag)
    if without_bytes is not None:
        return _kept_private(without_bytes, etag)
    header = request.headers.get("Range", "")
    if request.method == "HEAD" or not range_still_holds(request.headers.get("If-Range", ""), etag=etag):
        header = ""
    try:
        part = parse_range(header, size=take.size)
    except OutOfRange:
        return _with_headers(HttpResponse(status=416), take, etag, 0, f"bytes */{take.size}")
    if part is None:
        whole = ByteRange(0, take.size - 1)
        return _with_headers(answer_with(request, take.sound, whole, 200), take, etag, take.size)
    response = answer_with(request, take.sound, part, 206)
    return _with_headers(response, take, etag, part.length, part.content_range(take.size))


def _with_headers(
    response: HttpResponseBase, take: Take, etag: str, length: int, content_range: str = ""
) -> HttpResponseBase:
    response["Content-Type"] = take.media_type
    response["Content-Length"] = str(length)
    response["Content-Disposition"] = f'inline; filename="take-{take.pk}"'
    response["Accept-Ranges"] = "bytes"
    if content_range:
        response["Content-Range"] = content_range
    return _kept_private(response, etag)


def _kept_private(response: HttpResponseBase, etag: str) -> HttpResponseBase:
    response["ETag"] = etag
    response["Cache-Control"] = CACHING
    response["Vary"] = "Cookie"
    return response
