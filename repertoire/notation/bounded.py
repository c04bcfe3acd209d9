"""Work on files that may be made to hurt, in a process of its own with limits, and how that process ended.

A subprocess, not multiprocessing: a worker of a pool is a daemon and may have no multiprocessing children.
The process gets none of this one's secrets: of the environment only `KEPT`. It leads a group of its own,
which is killed whole when its time is over. `bounded_child` is its inside.
"""

import contextlib
import json
import math
import os
import queue
import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import IO, Protocol

from repertoire.notation.bounded_child import OUT_OF_MEMORY_EXIT, PEAK_LINE

ROOT = Path(__file__).resolve().parents[2]
# Where programs and numba's compiled code are found, the language, and what OpenBLAS is to know.
KEPT = re.compile(
    r"PATH|PYTHONPATH|PYTHONDONTWRITEBYTECODE|HOME|TMPDIR|XDG_CACHE_HOME|"
    r"LANG|LC_[A-Z]+|OPENBLAS_\w+|NUMBA_\w+"
)
ASK_EVERY_S = 1.0  # how often `keep_going` is asked
ERRORS_BYTES = 4000  # of what it wrote on stderr, the last are kept for the log
FROM_OUTSIDE = {signal.SIGKILL, signal.SIGTERM, signal.SIGINT, signal.SIGHUP, signal.SIGQUIT}
# How libraries end without memory: C++ by abort, glibc by 127 (no room for a thread's data), OpenBLAS by 1.
NO_MEMORY_CODES = {-signal.SIGABRT, 127, 1}
NO_MEMORY_WORDS = re.compile(r"bad_alloc|cannot allocate|memory", re.IGNORECASE)
PEAK = re.compile(rf"\n{PEAK_LINE}(\d+)\n")


class Ending(Enum):
    """How a bounded process ended; the value goes into a sentence for the log."""

    FINISHED = "finished"
    TOO_LONG = "took too long"
    OUT_OF_MEMORY = "ran out of memory"
    KILLED = "was killed from outside"
    CRASHED = "crashed"
    STOPPED = "was stopped, since the caller no longer wanted it"


@dataclass(frozen=True, slots=True)
class ProcessLimits:
    """Seconds from start to end, also of processor time where that has no limit of its own; memory in MB.

    `data_only`: memory is what the process holds, not the address space its libraries map.
    """

    time_s: float
    memory_mb: int
    data_only: bool = False
    processor_s: int | None = None


class Started(Protocol):
    """A process that runs, as `subprocess.Popen` shows one: it leads a group of its own."""

    pid: int
    stdin: IO[bytes] | None
    stdout: IO[bytes] | None
    stderr: IO[bytes] | None

    @property
    def returncode(self) -> int | None:
        """The exit code once it has been waited for."""

    def poll(self) -> int | None:
        """The exit code where it has ended."""

    def wait(self, timeout: float | None = None) -> int:
        """The exit code; raises `subprocess.TimeoutExpired` after `timeout` seconds."""


# From module, its arguments and the limits (memory_mb, data_only, cpu_s) to a process that runs.
Start = Callable[[str, tuple[str, ...], dict[str, int]], Started]


@dataclass(frozen=True, slots=True)
class Ended:
    """`output` is empty where lines were handed on; `exit_code` is minus the number of an ending signal."""

    how: Ending
    output: bytes
    errors: str
    exit_code: int
    peak_mb: int | None  # largest resident size; None where it could not tell any more

    def __str__(self) -> str:
        """For the log."""
        peak = "unknown" if self.peak_mb is None else f"{self.peak_mb} MB"
        return f"it {self.how.value} (exit code {self.exit_code}, peak memory {peak}): {self.errors}"


def run(
    module: str,
    *arguments: str,
    limits: ProcessLimits,
    data: bytes = b"",
    on_line: Callable[[bytes], None] | None = None,
    keep_going: Callable[[], bool] | None = None,
    start: Start | None = None,
) -> Ended:
    """Call `main(arguments)` of `module` in a bounded process, with `data` on its stdin.

    With `on_line` each whole line of its stdout is handed on as it comes; what that raises comes through, and
    the process is ended. `keep_going` is asked every second; once it says no, the process is ended. `start`
    is another way to a process than from nothing (`fresh`): a `WarmParent`.
    """
    cpu_s = limits.processor_s or math.ceil(limits.time_s) + 1
    wanted = {"memory_mb": limits.memory_mb, "data_only": limits.data_only, "cpu_s": cpu_s}
    child = (start or fresh)(module, arguments, wanted)
    with _Process(child, limits.time_s, data) as process:
        output: list[bytes] = []
        stopped: Ending | None = None
        try:
            for line in process.lines(keep_going):
                if on_line is None:
                    output.append(line)
                elif line.endswith(b"\n"):
                    on_line(line)
            process.wait()
        except _CutShort as cut:
            stopped = cut.how
            process.kill()
        errors, peak_mb = process.last_words()
        exit_code = process.wait()
    how = stopped or _how(exit_code, errors)
    return Ended(how, b"".join(output), errors, exit_code, peak_mb)


def fresh(module: str, arguments: tuple[str, ...], limits: dict[str, int]) -> Started:
    """A process that starts from nothing and imports what it needs."""
    wanted = json.dumps(limits | {"parent": os.getpid()})
    return subprocess.Popen(
        [sys.executable, "-m", "repertoire.notation.bounded_child", wanted, module, *arguments],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        cwd=ROOT,
        env=environment(),
        start_new_session=True,
    )


def environment() -> dict[str, str]:
    """What the process gets to know of this one's environment; numerical libraries stay in one thread."""
    kept = {name: value for name, value in os.environ.items() if KEPT.fullmatch(name)}
    paths = filter(None, [str(ROOT), kept.get("PYTHONPATH")])
    return {
        **kept,
        "PYTHONPATH": os.pathsep.join(paths),
        "PYTHONUTF8": "1",
        "OMP_NUM_THREADS": "1",
        "OPENBLAS_NUM_THREADS": "1",
    }


def _how(exit_code: int, errors: str) -> Ending:
    if exit_code == 0:
        return Ending.FINISHED
    if exit_code == OUT_OF_MEMORY_EXIT:
        return Ending.OUT_OF_MEMORY
    if exit_code in NO_MEMORY_CODES and NO_MEMORY_WORDS.search(errors):
        return Ending.OUT_OF_MEMORY
    if exit_code == -signal.SIGXCPU:
        return Ending.TOO_LONG
    return Ending.KILLED if -exit_code in FROM_OUTSIDE else Ending.CRASHED


class _CutShort(Exception):
    def __init__(self, how: Ending) -> None:
        super().__init__()
        self.how = how


class _Process:
    """A started process, its three pipes each served by a thread of its own."""

    def __init__(self, child: Started, time_s: float, data: bytes) -> None:
        self._deadline = time.monotonic() + time_s
        self._child = child
        self._lines: queue.Queue[bytes | None] = queue.Queue()
        self._errors = bytearray()
        self._threads = [
            threading.Thread(target=work, args=rest, daemon=True)
            for work, *rest in (
                (_send, self._child.stdin, data),
                (_receive, self._child.stdout, self._lines),
                (_collect, self._child.stderr, self._errors),
            )
        ]

    def __enter__(self) -> "_Process":
        for thread in self._threads:
            thread.start()
        return self

    def __exit__(self, *_error: object) -> None:
        self.kill()
        self._child.wait()
        for thread in self._threads:
            thread.join(timeout=1.0)

    def lines(self, keep_going: Callable[[], bool] | None) -> Iterator[bytes]:
        """The lines of stdout until its end; raises `_CutShort`."""
        while True:
            if keep_going and not keep_going():
                raise _CutShort(Ending.STOPPED)
            try:
                line = self._lines.get(timeout=min(self._left_s(), ASK_EVERY_S))
            except queue.Empty:
                continue
            if line is None:
                return
            yield line

    def wait(self) -> int:
        """The exit code; raises `_CutShort` where the time is over before the end."""
        if self._child.poll() is None:
            with contextlib.suppress(subprocess.TimeoutExpired):
                self._child.wait(timeout=self._left_s())
        if self._child.returncode is None:
            raise _CutShort(Ending.TOO_LONG)
        return self._child.returncode

    def last_words(self) -> tuple[str, int | None]:
        """The end of stderr, and the largest resident size in MB where the process could still tell it."""
        self._threads[-1].join(timeout=1.0)
        errors = self._errors.decode(errors="replace")
        peaks = PEAK.findall(errors)
        return PEAK.sub("", errors).strip(), int(peaks[-1]) if peaks else None

    def kill(self) -> None:
        """End the process and all it has started; nothing where it has ended already."""
        if self._child.poll() is None:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(self._child.pid, signal.SIGKILL)
            self._child.wait()

    def _left_s(self) -> float:
        left_s = self._deadline - time.monotonic()
        if left_s <= 0:
            raise _CutShort(Ending.TOO_LONG)
        return left_s


def _send(pipe: IO[bytes], data: bytes) -> None:
    with contextlib.suppress(BrokenPipeError), pipe:
        pipe.write(data)


def _receive(pipe: IO[bytes], lines: "queue.Queue[bytes | None]") -> None:
    with pipe:
        for line in pipe:
            lines.put(line)
    lines.put(None)


def _collect(pipe: IO[bytes], errors: bytearray) -> None:
    with pipe:
        while piece := pipe.read1():  # type: ignore[attr-defined]
            errors += piece
            del errors[:-ERRORS_BYTES]
