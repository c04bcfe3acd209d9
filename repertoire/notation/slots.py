"""Places for work that is limited at once, over all processes of this machine: one locked file a place.

A lock ends with the process that holds it, so that a killed one blocks no place.
"""

import contextlib
import fcntl
import time
from collections.abc import Iterator
from pathlib import Path

LOOK_EVERY_S = 0.05


@contextlib.contextmanager
def place(folder: Path, name: str, *, places: int, wait_s: float = 0.0) -> Iterator[bool]:
    """Hold one of the `places` of `name` during the block; yields False where none came free in time."""
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    deadline = time.monotonic() + wait_s
    with contextlib.ExitStack() as held:
        found = False
        while not (found := _found(folder, name, places, held)) and time.monotonic() < deadline:
            time.sleep(LOOK_EVERY_S)
        yield found


def _found(folder: Path, name: str, places: int, held: contextlib.ExitStack) -> bool:
    for number in range(places):
        file = (folder / f"{name}-{number}").open("w")
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            file.close()
            continue
        held.callback(file.close)
        return True
    return False
