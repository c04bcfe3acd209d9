"""The words of tus 1.0.0, an open protocol for uploads that can be gone on with (https://tus.io/protocols).

Spoken are the core and the extensions creation, expiration, checksum and termination, written from memory of
the specification. `sha256` in the metadata is asked for beyond it: the hash of the whole file in hex.
"""

import base64
import binascii
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import wraps
from pathlib import PurePath

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.utils.http import http_date

from recordings.models import Upload
from recordings.upload.parts import ALGORITHMS, Checksum

VERSION = "1.0.0"
EXTENSIONS = "creation,expiration,checksum,termination"
PIECE = "application/offset+octet-stream"
WRONG_SUM = 460  # the protocol's own status
LONGEST_METADATA = 2000  # characters


@dataclass(slots=True)
class Answer(Exception):
    """Anything but what was hoped for; the sentence, where there is one, is for the person."""

    status: int
    sentence: str = ""
    headers: dict[str, str] = field(default_factory=dict)

    def response(self) -> HttpResponse:
        if self.sentence:
            return JsonResponse({"error": self.sentence}, status=self.status, headers=self.headers)
        return HttpResponse(status=self.status, headers=self.headers)


def speaks_tus(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Every answer carries the version, refusals too."""

    @wraps(view)
    def speaking(request: HttpRequest, *args, **kwargs) -> HttpResponse:
        try:
            response = view(request, *args, **kwargs)
        except Answer as answer:
            response = answer.response()
        except (Http404, PermissionDenied) as refused:
            response = HttpResponse(status=404 if isinstance(refused, Http404) else 403)
        response["Tus-Resumable"] = VERSION
        return response

    return speaking


def require_version(request: HttpRequest) -> None:
    if request.headers.get("Tus-Resumable") != VERSION:
        raise Answer(412, headers={"Tus-Version": VERSION})


def method_of(request: HttpRequest) -> str:
    """The protocol lets a client that cannot say PATCH or DELETE say so in a header."""
    return request.headers.get("X-HTTP-Method-Override", request.method or "").upper()


def what_is_spoken(largest: int) -> HttpResponse:
    return HttpResponse(
        status=204,
        headers={
            "Tus-Version": VERSION,
            "Tus-Extension": EXTENSIONS,
            "Tus-Max-Size": str(largest),
            "Tus-Checksum-Algorithm": ",".join(ALGORITHMS),
        },
    )


def where_it_stands(upload: Upload) -> dict[str, str]:
    headers = {"Upload-Offset": str(upload.offset), "Cache-Control": "no-store"}
    if upload.take is None:
        headers["Upload-Expires"] = http_date(upload.expires_at.timestamp())
    return headers


def number_in(request: HttpRequest, name: str) -> int:
    value = request.headers.get(name, "")
    if not re.fullmatch(r"[0-9]{1,15}", value):
        raise Answer(400)
    return int(value)


def checksum_in(request: HttpRequest) -> Checksum | None:
    value = request.headers.get("Upload-Checksum")
    if value is None:
        return None
    algorithm, _, text = value.partition(" ")
    if algorithm not in ALGORITHMS:
        raise Answer(400)
    return Checksum(algorithm, _decoded(text))


def metadata_in(request: HttpRequest) -> dict[str, str]:
    """Pairs of a key and a text in base64, commas between; a key may stand alone."""
    value = request.headers.get("Upload-Metadata", "")
    if len(value) > LONGEST_METADATA:
        raise Answer(400)
    pairs = (pair.strip().partition(" ") for pair in value.split(",") if pair.strip())
    return {key: _decoded(text).decode("utf-8", "replace") for key, _, text in pairs}


def sha256_in(metadata: dict[str, str]) -> str:
    sha256 = metadata.get("sha256", "").lower()
    if not re.fullmatch(r"[0-9a-f]{64}", sha256):
        raise Answer(400)
    return sha256


def name_in(metadata: dict[str, str]) -> str:
    """The last part of the file's name, as far as one may stand in a form too."""
    name = re.sub(r"[\x00-\x1f\x7f]", "", PurePath(metadata.get("filename", "")).name)[:200]
    return "take" if name in ("", ".", "..") else name


def _decoded(text: str) -> bytes:
    try:
        return base64.b64decode(text, validate=True)
    except (binascii.Error, ValueError) as error:
        raise Answer(400) from error
