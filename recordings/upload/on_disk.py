"""A take's sound as a file on this machine, for the processes that open it."""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from recordings.models import Take


@contextmanager
def on_disk(take: Take) -> Iterator[Path]:
    """Where it lies, or a copy that is removed afterwards."""
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
