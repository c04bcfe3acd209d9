"""Bounded processes that need not start from nothing: a warm parent has imported it all and forks itself.

Loading numba, librosa and scipy costs seconds; a fork costs milliseconds. The warm parent (`warm_parent` is
its inside) is a process of its own with the same bare environment, reads nothing that anybody sent, and each
piece of work runs in a child of it, with the limits of any bounded process. It ends with the process that
started it. Only where forking is safe after such imports (Linux); elsewhere, and wherever it fails, work
starts from nothing.
"""

import json
import os
import select
import signal
import socket
import subprocess
import sys
from typing import IO

from repertoire.notation.bounded import ROOT, Started, environment, fresh

RENEW_AFTER = 100  # pieces of work; then nothing that a library has kept can grow any further
READY_S = 300.0  # on a new machine the inner loops are compiled first


class WarmParent:
    """A way for `bounded.run` to start the `main` of one module, kept warm by its `prepare()`.

    For one thread. The first piece of work waits until the parent is ready; `serving` says how many it has
    had since it was made.
    """

    def __init__(self, module: str, *, renew_after: int = RENEW_AFTER) -> None:
        self._module = module
        self._renew_after = renew_after
        self._owner = 0
        self._process: subprocess.Popen[bytes] | None = None
        self._channel: socket.socket | None = None
        self.serving = 0

    def __call__(self, module: str, arguments: tuple[str, ...], limits: dict[str, int]) -> Started:
        """A child of the warm parent, or a process from nothing where there can be none."""
        if module != self._module or sys.platform != "linux":
            return fresh(module, arguments, limits)
        try:
            return self._forked(self._ready(), arguments, limits)
        except OSError:
            self.close()
            return fresh(module, arguments, limits)

    @property
    def number(self) -> int | None:
        """The parent's process number while there is one."""
        return self._process.pid if self._process else None

    def close(self) -> None:
        """End the parent, and with it any child; the next piece of work makes another."""
        if self._channel is not None:
            self._channel.close()
        if self._process is not None and self._owner == os.getpid():
            self._process.kill()
            self._process.wait()
        self._channel = self._process = None

    def _ready(self) -> socket.socket:
        # A worker of a pool is a copy of the process that may have had a parent: it gets one of its own.
        if self._channel is None or self._owner != os.getpid() or self.serving >= self._renew_after:
            self.close()
            self._channel = self._made()
        return self._channel

    def _made(self) -> socket.socket:
        ours, theirs = socket.socketpair()
        with theirs:
            self._process = subprocess.Popen(
                [sys.executable, "-m", "repertoire.notation.warm_parent", str(theirs.fileno()), self._module],
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                cwd=ROOT,
                env=environment(),
                pass_fds=[theirs.fileno()],
                start_new_session=True,
            )
        self._owner, self.serving = os.getpid(), 0
        ours.settimeout(READY_S)
        try:
            if not ours.recv(1):
                raise ConnectionError("the warm parent ended before it was ready")
        except OSError:
            ours.close()
            raise
        ours.settimeout(None)
        return ours

    def _forked(self, channel: socket.socket, arguments: tuple[str, ...], limits: dict[str, int]) -> Started:
        self.serving += 1
        stdin, stdout, stderr = os.pipe(), os.pipe(), os.pipe()
        theirs = [stdin[0], stdout[1], stderr[1]]
        ours: list[IO[bytes]] = [
            os.fdopen(stdin[1], "wb"),
            os.fdopen(stdout[0], "rb"),
            os.fdopen(stderr[0], "rb"),
        ]
        message = json.dumps({"limits": limits, "arguments": arguments}).encode()
        try:
            socket.send_fds(channel, [message], theirs)
            return _Forked(channel, *ours)
        except OSError:
            for pipe in ours:
                pipe.close()
            raise
        finally:
            for end in theirs:
                os.close(end)


class _Forked:
    """A child of the warm parent, as `subprocess.Popen` would show it; the parent tells how it ended."""

    def __init__(
        self, channel: socket.socket, stdin: IO[bytes], stdout: IO[bytes], stderr: IO[bytes]
    ) -> None:
        self._channel = channel
        self._lines = channel.makefile("rb", buffering=0)
        self.stdin: IO[bytes] | None = stdin
        self.stdout: IO[bytes] | None = stdout
        self.stderr: IO[bytes] | None = stderr
        self.returncode: int | None = None
        self.pid = int(self._line())

    def poll(self) -> int | None:
        if self.returncode is None and select.select([self._channel], [], [], 0)[0]:
            self._end()
        return self.returncode

    def wait(self, timeout: float | None = None) -> int:
        if self.returncode is None:
            if not select.select([self._channel], [], [], timeout)[0]:
                raise subprocess.TimeoutExpired("a child of the warm parent", timeout or 0.0)
            self._end()
        assert self.returncode is not None
        return self.returncode

    def _end(self) -> None:
        try:
            self.returncode = int(self._line())
        except OSError:  # the parent was killed, and its child with it
            self.returncode = -signal.SIGKILL
        self._lines.close()

    def _line(self) -> bytes:
        line = self._lines.readline()
        if not line.endswith(b"\n"):
            raise ConnectionError("the warm parent ended")
        return line
