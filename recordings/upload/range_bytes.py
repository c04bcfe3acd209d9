"""A stored sound in answer to a request, whole or a part of it."""

from collections.abc import Iterator

from django.core.files.base import File
from django.db.models.fields.files import FieldFile
from django.http import Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase

from recordings.upload.byte_ranges import ByteRange

CHUNK_BYTES = 64 * 1024


def answer_with(request: HttpRequest, stored: FieldFile, part: ByteRange, status: int) -> HttpResponseBase:
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
