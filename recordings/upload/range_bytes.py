"""A part of a stored file, piece by piece."""

from collections.abc import Iterator

from django.core.files.base import File

from recordings.upload.byte_ranges import ByteRange

CHUNK_BYTES = 64 * 1024


def bytes_of(sound: File, part: ByteRange) -> Iterator[bytes]:
    left = part.length
    with sound:
        sound.seek(part.first)
        while left and (chunk := sound.read(min(CHUNK_BYTES, left))):
            left -= len(chunk)
            yield chunk
