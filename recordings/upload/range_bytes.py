"""A stored sound in answer to a request, whole or a part of it."""

from collections.abc import Iterator

from django.core.files.base import File
from django.db.models.fields.files import FieldFile
from django.http import Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.utils.cache import get_conditional_response

from recordings.upload.byte_ranges import ByteRange, OutOfRange, parse_range, range_still_holds

CHUNK_BYTES = 64 * 1024


def sound_answer(
    request: HttpRequest, stored: FieldFile, *, size: int, media_type: str, name: str = "", etag: str = ""
) -> HttpResponseBase:
    """A recording, whole or the one range asked for, which no cache may keep.

    With an `etag` conditions are answered; without one nothing about the bytes is told but the bytes.
    """
    without_bytes = get_conditional_response(request, etag=etag) if etag else None
    if without_bytes is not None:
        return _kept_private(without_bytes, etag)
    condition = request.headers.get("If-Range", "")
    holds = range_still_holds(condition, etag=etag) if etag else not condition
    header = request.headers.get("Range", "") if holds and request.method != "HEAD" else ""
    try:
        part = parse_range(header, size=size)
    except OutOfRange:
        response: HttpResponseBase = HttpResponse(status=416)
        length, content_range = 0, f"bytes */{size}"
    else:
        asked = part or ByteRange(0, size - 1)
        response = _answer_with(request, stored, asked, 206 if part else 200)
        length, content_range = asked.length, part.content_range(size) if part else ""
    response["Content-Type"] = media_type
    response["Content-Length"] = str(length)
    response["Content-Disposition"] = f'inline; filename="{name}"' if name else "inline"
    response["Accept-Ranges"] = "bytes"
    if content_range:
        response["Content-Range"] = content_range
    return _kept_private(response, etag)


def _kept_private(response: HttpResponseBase, etag: str) -> HttpResponseBase:
    """No copy outlives the person's permission."""
    if etag:
        response["ETag"] = etag
    response["Cache-Control"] = "private, no-store"
    response["Vary"] = "Cookie"
    return response


def _answer_with(request: HttpRequest, stored: FieldFile, part: ByteRange, status: int) -> HttpResponseBase:
    """The bytes of `part`, or nothing for HEAD; 404 where the file is gone."""
    if request.method == "HEAD":
        return HttpResponse(status=status)
    try:
        sound = stored.open("rb")
    except FileNotFoundError as missing:
        raise Http404 from missing
    return StreamingHttpResponse(_bytes_of(sound, part), status=status)


def _bytes_of(sound: File, part: ByteRange) -> Iterator[bytes]:
    left = part.length
    with sound:
        sound.seek(part.first)
        while left and (chunk := sound.read(min(CHUNK_BYTES, left))):
            left -= len(chunk)
            yield chunk
