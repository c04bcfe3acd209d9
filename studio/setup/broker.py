"""The embedded broker: a folder of message files that several processes write and read at once.

kombu's filesystem transport writes messages and binding tables in place, so a reader meets half-written
files, dies of them and loses them. Here whatever lies under its own name is whole: it is written under a
temporary name in the same folder and renamed. A binding table is changed under a lock on a file of its own,
since a lock on the table would go with the table it replaces; the kernel frees it when its holder is killed.

A message belongs to the reader who deletes its file, which succeeds once. Nothing else marks a claim, so a
killed reader leaves nothing to clear away, but a message it had claimed ends with it. That is tolerable: the
row in the database is the job, the message only says so, and the sweep sends again. A writer killed
amid writing leaves one small file that nobody reads. What cannot be read is set aside in a folder of its own
and never stops a reader.
"""

import fcntl
import logging
import os
import time
import uuid
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from queue import Empty
from typing import Any

from kombu.exceptions import ChannelError
from kombu.transport import filesystem, virtual
from kombu.utils.json import dumps, loads

log = logging.getLogger(__name__)

Binding = filesystem.exchange_queue_t
_UNFINISHED = ".unfinished"
_UNREADABLE = "unreadable"


class Unreadable(ValueError):
    """A file of the broker that holds something else than it should."""


class Channel(filesystem.Channel):
    """Messages in `data_folder_in` (the same as `data_folder_out`), binding tables in `control_folder`."""

    # Parts of kombu's filesystem channel differ from its own base class, and its stubs lack one of them.
    def _put(self, queue: str, payload: dict, **_kwargs) -> None:  # type: ignore[override]
        # By name the files sort by age. The queue comes after the first dot, where kombu looks for it.
        name = f"{time.time_ns():020d}_{uuid.uuid4()}.{queue}.msg"
        _write_whole(Path(self.data_folder_out) / name, payload)

    def _get(self, queue: str, timeout: float | None = None) -> dict:
        folder = Path(self.data_folder_in)
        for name in sorted(os.listdir(folder)):
            if name.partition(".")[2] == f"{queue}.msg":
                message = self._claim(folder / name)
                if message is not None:
                    return message
        raise Empty

    def _claim(self, path: Path) -> dict | None:
        """The message, now this reader's alone; None where another was quicker or it cannot be read."""
        try:
            message = self._read_message(path)
            path.unlink()
        except FileNotFoundError:
            return None
        except Unreadable:
            _set_aside(path)
            return None
        return message

    def _read_message(self, path: Path) -> dict:
        message = _read(path)
        try:
            self.Message(message, channel=self)
        except Exception as error:  # as below: it may be no message at all
            raise Unreadable from error
        return message

    def get_table(self, exchange: str) -> list[Binding]:  # type: ignore[override]
        """The bindings of `exchange`; without a lock, since a table is only ever replaced whole."""
        path = self._table_path(exchange)
        try:
            return [Binding(*binding) for binding in _read(path)]
        except FileNotFoundError:
            return []
        except (Unreadable, TypeError):
            # The next to bind writes it anew; moving it here might take a table just written by another.
            log.error("The broker cannot read one of its binding tables and takes it for empty.")
            return []

    def _queue_bind(self, exchange: str, routing_key: str, pattern: str | None, queue: str) -> None:
        binding = _binding(routing_key, pattern, queue)
        with self._changing_table(exchange) as table:
            if binding not in table:
                table.insert(0, binding)

    def _delete(self, queue: str, exchange: str, routing_key: str, pattern: str, *_args, **_kwargs) -> None:
        self._purge(queue)
        binding = _binding(routing_key, pattern, queue)
        with self._changing_table(exchange) as table, suppress(ValueError):
            table.remove(binding)

    def _table_path(self, exchange: str) -> Path:
        return self._exchange_file(exchange)  # type: ignore[attr-defined]

    @contextmanager
    def _changing_table(self, exchange: str) -> Iterator[list[Binding]]:
        """The bindings as they are now, written back where they were changed; others wait meanwhile."""
        path = self._table_path(exchange)
        with path.with_name(f"{path.name}.lock").open("w") as door:
            fcntl.flock(door, fcntl.LOCK_EX)
            try:
                before = self.get_table(exchange)
                table = list(before)
                yield table
                if table != before:
                    _write_whole(path, table)
            finally:
                fcntl.flock(door, fcntl.LOCK_UN)


class Transport(filesystem.Transport):
    Channel = Channel
    global_state = virtual.BrokerState()
    driver_name = "folder"


def _binding(routing_key: str | None, pattern: str | None, queue: str | None) -> Binding:
    return Binding(routing_key or "", pattern or "", queue or "")


def _read(path: Path) -> Any:
    """What a file of the broker holds; FileNotFoundError where it is gone, Unreadable where it is spoiled."""
    try:
        content = path.read_bytes()
    except (IsADirectoryError, PermissionError) as error:
        raise Unreadable from error
    try:
        return loads(content)
    except Exception as error:  # from a wrong letter to a nesting too deep: the file may hold anything
        raise Unreadable from error


def _write_whole(path: Path, content: Any) -> None:
    unfinished = path.with_name(f"{uuid.uuid4().hex}{_UNFINISHED}")
    try:
        with unfinished.open("wb") as file:
            file.write(dumps(content).encode())
        os.replace(unfinished, path)
    except OSError as error:
        with suppress(OSError):
            unfinished.unlink()
        raise ChannelError(f"The broker's folder cannot be written: {type(error).__name__}") from error


def _set_aside(path: Path) -> None:
    """Move a file out of the readers' way; another reader may have done so already."""
    folder = path.parent / _UNREADABLE
    folder.mkdir(exist_ok=True)
    aside = folder / f"{uuid.uuid4().hex}{path.suffix}"
    with suppress(FileNotFoundError):
        os.replace(path, aside)
        log.error("The broker set aside what it could not read, as %s.", aside.stem)
