"""A browser that hands a file in piece by piece, in the words of tus 1.0.0."""

import base64
import hashlib
from pathlib import Path

from django.core.files.storage import default_storage
from django.test import Client
from django.urls import reverse

TUS = {"HTTP_TUS_RESUMABLE": "1.0.0"}
PIECE = "application/offset+octet-stream"


def encoded(text: str | bytes) -> str:
    return base64.b64encode(text.encode() if isinstance(text, str) else text).decode()


def described(content: bytes, name: str = "My First Take.wav", **more: str) -> str:
    facts = {"filename": name, "sha256": hashlib.sha256(content).hexdigest(), **more}
    return ",".join(f"{key} {encoded(value)}" for key, value in facts.items())


class Sender:
    """A browser that hands a file in piece by piece."""

    def __init__(self, client: Client, entry, requirement, content: bytes) -> None:
        self.client, self.content = client, content
        self.begin_at = reverse("upload_begin", args=[entry.pk, requirement.pk])
        self.address = ""

    def begin(self, **headers):
        said = {"HTTP_UPLOAD_LENGTH": str(len(self.content)), "HTTP_UPLOAD_METADATA": described(self.content)}
        response = self.client.post(self.begin_at, **{**TUS, **said, **headers})
        self.address = response.headers.get("Location", "")
        return response

    def head(self):
        return self.client.head(self.address, **TUS)

    def patch(self, start: int, end: int, *, piece: bytes | None = None, **headers):
        piece = self.content[start:end] if piece is None else piece
        said = {"HTTP_UPLOAD_OFFSET": str(start), "HTTP_UPLOAD_CHECKSUM": f"sha256 {self.sum_of(piece)}"}
        return self.client.patch(
            self.address, piece, content_type=PIECE, **{"CONTENT_TYPE": PIECE, **TUS, **said, **headers}
        )

    def sum_of(self, piece: bytes) -> str:
        return encoded(hashlib.sha256(piece).digest())

    def end(self):
        return self.client.delete(self.address, **TUS)

    def send_all(self):
        self.begin()
        return self.patch(0, len(self.content))


def stored() -> list[Path]:
    return [path for path in Path(default_storage.path("")).rglob("*") if path.is_file()]
