"""Sounds and pages between the storage and a backup's folder, by the same names, compared by hash."""

from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from django.core.files.base import File
from django.core.files.storage import default_storage

from recordings.backup.box import Box, Spoiled
from recordings.backup.manifest import Kept
from recordings.upload.stored import CHUNK, counted_hash

FOLDER = "files"


def keep(name: str, folder: Path, box: Box, *, expected: Kept | None) -> Kept | None:
    """Copy `name` into the backup unless it lies there already; None where neither place has it.

    `expected` is what was handed in: a copy that still is, is never written over by what no longer is.
    """
    path = folder / FOLDER / name
    there = _hash_of_path(path, box)
    if expected and there == expected:
        return there
    try:
        with default_storage.open(name, "rb") as source:
            if there and there == _hash(source):
                return there
            source.seek(0)
            return write(source, path, box)
    except FileNotFoundError:
        return there


def bring_back(name: str, folder: Path, box: Box, kept: Kept) -> bool:
    """Put `name` back into the storage; False where something else lies there, which is left alone.

    Raises FileNotFoundError where the backup lacks it, and ValueError where its copy is spoiled.
    """
    path = folder / FOLDER / name
    if default_storage.exists(name):
        with default_storage.open(name, "rb") as there:
            return _hash(there) == kept
    if _hash_of_path(path, box) != kept:
        if not path.exists():
            raise FileNotFoundError(name)
        raise ValueError(name)
    with box.read(path) as source:
        try:
            write(source, Path(default_storage.path(name)), Box())
        except NotImplementedError:
            default_storage.save(name, File(source))
    return True


def prune(folder: Path, wanted: set[str]) -> int:
    """Delete what an earlier run kept and nobody wants any more: a deleted sound must not live on here."""
    root = folder / FOLDER
    stale = [path for path in root.rglob("*") if path.is_file() and str(path.relative_to(root)) not in wanted]
    for path in stale:
        path.unlink()
    return len(stale)


def write(source: BinaryIO | File, path: Path, box: Box) -> Kept:
    """All of it under its own name, on the disk, or nothing."""
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    unfinished = path.with_name(f"{path.name}.unfinished")
    with box.write(unfinished) as target:
        kept = Kept(*counted_hash(_copied(source, target)))
    unfinished.replace(path)
    return kept


def _copied(source: BinaryIO | File, target: BinaryIO) -> Iterator[bytes]:
    for chunk in _chunks(source):
        target.write(chunk)
        yield chunk


def _hash_of_path(path: Path, box: Box) -> Kept | None:
    """None where it is not there, or nothing that can be read any more."""
    try:
        with box.read(path) as file:
            return _hash(file)
    except (FileNotFoundError, Spoiled):
        return None


def _hash(file: BinaryIO | File) -> Kept:
    return Kept(*counted_hash(_chunks(file)))


def _chunks(file: BinaryIO | File) -> Iterator[bytes]:
    while chunk := file.read(CHUNK):
        yield chunk
