"""Backups sealed by choice: nothing of them can be read without the key, and no change to them passes."""

import os

import pytest

from recordings.backup.box import PIECE, SealedBox, Spoiled, key_in
from recordings.backup.trouble import BackupTrouble

KEY = bytes(range(32))


def sealed(path, data: bytes, key: bytes = KEY) -> bytes:
    with SealedBox(key).write(path) as target:
        for start in range(0, len(data), 300_000):
            target.write(data[start : start + 300_000])
    return path.read_bytes()


def opened(path, key: bytes = KEY) -> bytes:
    with SealedBox(key).read(path) as source:
        return source.read()


@pytest.mark.parametrize("size", [0, 1, PIECE - 1, PIECE, PIECE + 1, 2 * PIECE, 2 * PIECE + 5])
def test_what_is_opened_is_what_was_sealed(tmp_path, size):
    data = os.urandom(size)
    there = sealed(tmp_path / "file", data)
    assert opened(tmp_path / "file") == data
    assert size < 100 or data[:50] not in there


def test_the_same_is_sealed_otherwise_each_time(tmp_path):
    assert sealed(tmp_path / "a", b"the same") != sealed(tmp_path / "b", b"the same")


DAMAGES = {
    "a byte": lambda data: data[:-20] + bytes([data[-20] ^ 1]) + data[-19:],
    "its head": lambda data: data[:6] + bytes([data[6] ^ 1]) + data[7:],
    "cut short": lambda data: data[:-1],
    "cut after a piece": lambda data: data[: 28 + PIECE + 16],
    "only its head": lambda data: data[:28],
    "pieces in another order": lambda data: (
        data[:28]
        + data[28 + PIECE + 16 : 28 + 2 * (PIECE + 16)]
        + data[28 : 28 + PIECE + 16]
        + data[28 + 2 * (PIECE + 16) :]
    ),
    "something more": lambda data: data + b"x" * 20,
    "not sealed at all": lambda data: b"plain",
}


@pytest.mark.parametrize("damage", DAMAGES.values(), ids=DAMAGES)
def test_no_change_passes(tmp_path, damage):
    path = tmp_path / "file"
    path.write_bytes(damage(sealed(path, os.urandom(2 * PIECE + 5))))
    with pytest.raises(Spoiled):
        opened(path)


def test_another_key_opens_nothing(tmp_path):
    sealed(tmp_path / "file", b"a child's recording")
    with pytest.raises(Spoiled):
        opened(tmp_path / "file", bytes(32))


def test_the_key_is_made_once_and_a_file_of_something_else_is_refused(tmp_path):
    path = tmp_path / "keys" / "backup"
    key = key_in(path, make=True)
    assert key_in(path, make=True) == key_in(path) == key
    assert path.stat().st_mode & 0o077 == 0
    path.write_text("something else")
    with pytest.raises(BackupTrouble, match="no key"):
        key_in(path)
