"""A recording as a file on this machine, wherever its storage is."""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from recordings.models import SightReading, Take


@contextmanager
def on_disk(take: Take | SightReading) -> Iterator[Path]:
    """The recording as a file on this machine: where it lies, or a copy that is removed afterwards."""
    try:
        path = Path(take.sound.path)
    except NotImplementedError:
        path = None
    if path is not None:
        yield path
        return
    with tempfile.NamedTemporaryFile(prefix="take-") as copy:
        with take.sound.open("rb") as sound:
            for chunk in sound.chunks():
                copy.write(chunk)
        copy.flush()
        yield Path(copy.name)
