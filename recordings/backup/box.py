"""How files lie in a backup: as they are, or sealed with a key that lies elsewhere.

A sealed file is MAGIC, eight random bytes, then pieces of PIECE bytes, each sealed by AES-256-GCM (NIST SP
800-38D) with its own tag. The nonce of a piece is the random bytes and its number; with it goes whether it is
the last, so that pieces can be neither changed, nor put in another order, nor left out at the end. Each file
has a key of its own, drawn from the backup's key and 16 more random bytes by HKDF (RFC 5869).
"""

import base64
import io
import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO, cast

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF

from recordings.backup.trouble import BackupTrouble

MAGIC, SALT, PREFIX, TAG, KEY = b"FHB1", 16, 8, 16, 32
PIECE = 2**20
MORE, LAST = b"more", b"last"


class Spoiled(ValueError):
    """Not what was sealed, or sealed with another key."""


class Box:
    """Files as they are."""

    mark = ""

    @contextmanager
    def write(self, path: Path) -> Iterator[BinaryIO]:
        """What is written is on the disk once this ends."""
        with path.open("wb") as target:
            yield target
            target.flush()
            os.fsync(target.fileno())

    @contextmanager
    def read(self, path: Path) -> Iterator[BinaryIO]:
        with path.open("rb") as source:
            yield source


class SealedBox(Box):
    """Files sealed with `key`, KEY random bytes; whoever has the folder alone reads none of them."""

    def __init__(self, key: bytes) -> None:
        self._key = key
        self.mark = _derived(key, b"mark of a backup's key")[:8].hex()

    @contextmanager
    def write(self, path: Path) -> Iterator[BinaryIO]:
        with super().write(path) as target:
            sealing = _Sealing(self._key, target)
            yield cast(BinaryIO, sealing)
            sealing.finish()

    @contextmanager
    def read(self, path: Path) -> Iterator[BinaryIO]:
        """Raises Spoiled, at the latest with the last piece."""
        with super().read(path) as source:
            yield cast(BinaryIO, io.BufferedReader(_Opening(self._key, source), PIECE))


class _Sealing(io.RawIOBase):
    def __init__(self, key: bytes, target: BinaryIO) -> None:
        salt, self._prefix = secrets.token_bytes(SALT), secrets.token_bytes(PREFIX)
        self._cipher, self._target, self._number, self._waiting = _cipher(key, salt), target, 0, bytearray()
        target.write(MAGIC + salt + self._prefix)

    def writable(self) -> bool:
        return True

    def write(self, data) -> int:
        self._waiting += data
        # A full piece waits until more has come: only then it is not the last.
        while len(self._waiting) > PIECE:
            self._seal(bytes(self._waiting[:PIECE]), MORE)
            del self._waiting[:PIECE]
        return len(data)

    def finish(self) -> None:
        self._seal(bytes(self._waiting), LAST)

    def _seal(self, piece: bytes, place: bytes) -> None:
        self._target.write(self._cipher.encrypt(_nonce(self._prefix, self._number), piece, place))
        self._number += 1


class _Opening(io.RawIOBase):
    def __init__(self, key: bytes, source: BinaryIO) -> None:
        head = source.read(len(MAGIC) + SALT + PREFIX)
        if head[: len(MAGIC)] != MAGIC or len(head) < len(MAGIC) + SALT + PREFIX:
            raise Spoiled
        self._prefix = head[-PREFIX:]
        self._cipher = _cipher(key, head[len(MAGIC) : -PREFIX])
        self._source, self._number, self._opened = source, 0, b""
        self._next: bytes | None = source.read(PIECE + TAG)

    def readable(self) -> bool:
        return True

    def readinto(self, buffer) -> int:
        while not self._opened and self._next is not None:
            self._opened = self._open(self._next)
        size = min(len(buffer), len(self._opened))
        buffer[:size], self._opened = self._opened[:size], self._opened[size:]
        return size

    def _open(self, sealed: bytes) -> bytes:
        following = self._source.read(PIECE + TAG)
        place = MORE if following else LAST
        self._next = following or None
        try:
            piece = self._cipher.decrypt(_nonce(self._prefix, self._number), sealed, place)
        except InvalidTag as error:
            raise Spoiled from error
        self._number += 1
        return piece


def key_in(path: Path, *, make: bool = False) -> bytes:
    """The key this file holds; with `make` a new one where there is no such file. Raises BackupTrouble."""
    if make and not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        number = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(number, "wb") as file:
            file.write(base64.b64encode(secrets.token_bytes(KEY)) + b"\n")
    try:
        key = base64.b64decode(path.read_bytes().strip(), validate=True)
    except (OSError, ValueError) as error:
        raise BackupTrouble(f"{path} holds no key of a backup.") from error
    if len(key) != KEY:
        raise BackupTrouble(f"{path} holds no key of a backup.")
    return key


def _cipher(key: bytes, salt: bytes) -> AESGCM:
    return AESGCM(_derived(key, b"a file of a backup", salt))


def _derived(key: bytes, purpose: bytes, salt: bytes | None = None) -> bytes:
    return HKDF(algorithm=SHA256(), length=KEY, salt=salt, info=purpose).derive(key)


def _nonce(prefix: bytes, number: int) -> bytes:
    return prefix + number.to_bytes(4, "big")
