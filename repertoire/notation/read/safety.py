"""From uploaded bytes to a parsed XML tree, within limits, before any music library sees them.

Threats met here: zip bombs, many-member archives, names that leave the archive, entity bombs and
external entities (defusedxml refuses both), very deep or very large XML, files that are something else.
Everything refused is a `BadScore` with a sentence from `messages`.
"""

import io
import zipfile
import zlib
from dataclasses import dataclass
from pathlib import PurePosixPath
from xml.etree.ElementTree import Element, ParseError

from defusedxml.common import DefusedXmlException
from defusedxml.ElementTree import iterparse

from repertoire.notation import messages
from repertoire.notation.score import MOST_PLAYED_NOTES, BadScore
from repertoire.notation.sentence import Sentence

MEGABYTE = 1024 * 1024
CHUNK_BYTES = 64 * 1024
CONTAINER = "META-INF/container.xml"
CONTAINER_MAX_BYTES = 100 * 1024


@dataclass(frozen=True, slots=True)
class Limits:
    """What one uploaded score may be at most; sizes in bytes."""

    compressed_bytes: int = 5 * MEGABYTE
    unpacked_bytes: int = 20 * MEGABYTE
    members: int = 64  # a score, its container, and perhaps pictures and sounds
    elements: int = 1_200_000  # about twenty for each note of an ensemble score
    depth: int = 40  # MusicXML itself stays under fifteen
    measures: int = 2000
    notes: int = 20_000
    played_notes: int = MOST_PLAYED_NOTES


DEFAULT_LIMITS = Limits()


def score_bytes(data: bytes, limits: Limits = DEFAULT_LIMITS) -> bytes:
    """The MusicXML text of an upload, unpacked when it is a zip, whatever its name; raises `BadScore`."""
    if not data:
        raise BadScore(messages.EMPTY_FILE())
    if data[:4] == b"PK\x03\x04":
        return _unpack(data, limits)
    if len(data) > limits.unpacked_bytes:
        raise BadScore(messages.TOO_BIG(megabytes=limits.unpacked_bytes // MEGABYTE))
    start = data.lstrip()[:20]
    for magic, kind in messages.KINDS.items():
        if start.lower().startswith(magic.lower()):
            raise BadScore(messages.WRONG_KIND(kind=kind()))
    return data


def _unpack(data: bytes, limits: Limits) -> bytes:
    if len(data) > limits.compressed_bytes:
        raise BadScore(messages.TOO_BIG(megabytes=limits.compressed_bytes // MEGABYTE))
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            check_members(archive.infolist(), limits)
            return read_member(archive, _root_name(archive), limits.unpacked_bytes)
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, ValueError) as error:
        raise BadScore(messages.ZIP_DAMAGED()) from error


def check_members(members: list[zipfile.ZipInfo], limits: Limits) -> None:
    """Raises `BadScore` for too many members, names that leave the archive, and locked members."""
    if len(members) > limits.members:
        raise BadScore(messages.ZIP_MANY(count=len(members), limit=limits.members))
    for member in members:
        _check_name(member.filename)
        if member.flag_bits & 0x1:
            raise BadScore(messages.ZIP_LOCKED())


def _check_name(name: str) -> None:
    path = PurePosixPath(name.replace("\\", "/"))
    if path.is_absolute() or ".." in path.parts or ":" in name or "\x00" in name:
        raise BadScore(messages.ZIP_PATH())


def _root_name(archive: zipfile.ZipFile) -> str:
    """The score's member: the container's first MusicXML rootfile, or the only XML file there is."""
    names = [member.filename for member in archive.infolist() if not member.is_dir()]
    if CONTAINER in names:
        container = parse(read_member(archive, CONTAINER, CONTAINER_MAX_BYTES), DEFAULT_LIMITS)
        for rootfile in container.iter():
            if rootfile.tag.rpartition("}")[2] != "rootfile":
                continue
            path, kind = rootfile.get("full-path", ""), rootfile.get("media-type", "")
            _check_name(path)
            if path in names and ("xml" in kind or not kind):
                return path
    scores = [name for name in names if name.lower().endswith((".xml", ".musicxml")) and name != CONTAINER]
    if len(scores) != 1:
        raise BadScore(messages.ZIP_NO_SCORE())
    return scores[0]


def read_member(archive: zipfile.ZipFile, name: str, most: int) -> bytes:
    """Read a member of at most `most` bytes, counting what comes out: the size in its header may lie.

    Raises `BadScore`.
    """
    member = archive.getinfo(name)
    if member.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise BadScore(messages.ZIP_DAMAGED())
    pieces, total = [], 0
    with archive.open(member) as stream:
        while piece := stream.read(CHUNK_BYTES):
            total += len(piece)
            if total > most:
                raise BadScore(messages.ZIP_BLOWS_UP(megabytes=max(1, most // MEGABYTE)))
            pieces.append(piece)
    return b"".join(pieces)


def parse(data: bytes, limits: Limits = DEFAULT_LIMITS) -> Element:
    """Parse hostile XML into a tree; raises `BadScore`.

    DOCTYPE lines are allowed (every MusicXML file has one), entities and external references are not.
    """
    bar, depth, count = "", 0, 0
    root: Element | None = None
    try:
        events = iterparse(
            io.BytesIO(data),
            events=("start", "end"),
            forbid_dtd=False,
            forbid_entities=True,
            forbid_external=True,
        )
        for event, element in events:
            if event == "end":
                depth -= 1
                continue
            root = element if root is None else root
            depth, count = depth + 1, count + 1
            if depth > limits.depth:
                raise BadScore(messages.TOO_DEEP())
            if count > limits.elements:
                raise BadScore(messages.TOO_MANY_ELEMENTS())
            if element.tag == "measure":
                bar = element.get("number", "")
    except DefusedXmlException as error:
        raise BadScore(messages.ENTITIES()) from error
    except ParseError as error:
        raise BadScore(_broken(error, count, bar)) from error
    except (LookupError, ValueError) as error:  # an encoding nobody knows
        raise BadScore(messages.NOT_MUSICXML()) from error
    if root is None:
        raise BadScore(messages.NOT_MUSICXML())
    return root


def _broken(error: ParseError, count: int, bar: str) -> Sentence:
    line = error.position[0]
    if count == 0:
        return messages.NOT_MUSICXML()
    if bar:
        return messages.BROKEN_AT_BAR(bar=bar, line=line)
    return messages.BROKEN_AT_LINE(line=line)
