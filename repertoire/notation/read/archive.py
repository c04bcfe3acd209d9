"""A small folder in a zip, unpacked in memory within the limits any uploaded score has."""

import io
import zipfile
import zlib
from pathlib import PurePosixPath

from repertoire.notation import messages
from repertoire.notation.read.safety import DEFAULT_LIMITS, MEGABYTE, Limits, check_members, read_member
from repertoire.notation.score import BadScore


def members_of(data: bytes, names: tuple[str, ...], *, limits: Limits = DEFAULT_LIMITS) -> dict[str, bytes]:
    """Contents by file name of those `names` that stand in the zip, in whatever folder, once each.

    Raises `BadScore` with a sentence for anything that is no sound zip of this kind.
    """
    if data[:4] != b"PK\x03\x04":
        raise BadScore(messages.SHARED_NOT_ZIP())
    if len(data) > limits.compressed_bytes:
        raise BadScore(messages.TOO_BIG(megabytes=limits.compressed_bytes // MEGABYTE))
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            members = archive.infolist()
            check_members(members, limits)
            found: dict[str, bytes] = {}
            for member in members:
                name = PurePosixPath(member.filename).name
                if member.is_dir() or name not in names:
                    continue
                if name in found:
                    raise BadScore(messages.SHARED_TWICE(name=name))
                found[name] = read_member(archive, member.filename, limits.unpacked_bytes)
            return found
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, ValueError) as error:
        raise BadScore(messages.SHARED_DAMAGED()) from error
