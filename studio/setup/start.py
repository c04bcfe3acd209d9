"""The web server, the workers and the scheduler together in the foreground, as `manage.py start` runs them.

A part that ends is started again after a pause (`studio.setup.restarting`); the others are left alone.
"""

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable
from dataclasses import dataclass

from studio.setup import env
from studio.setup.restarting import Record, manner

# A worker told to stop finishes its task first; an analysis can take minutes, and its row
# is taken up again at the next start, so it is not waited for longer than this.
GRACE_S = 5.0
LOOK_EVERY_S = 0.2
START_LIMIT_S = 60.0


class StartError(Exception):
    """Why the studio cannot be started, in a sentence for the person at the terminal."""


@dataclass(frozen=True)
class Place:
    """Where the pages are served."""

    host: str
    port: int

    @classmethod
    def from_environment(cls) -> "Place":
        host = env.text("HOST", "127.0.0.1") or "127.0.0.1"
        return cls(host, env.whole("PORT", 8000, low=1, high=65535))

    @property
    def address(self) -> str:
        return f"http://{'127.0.0.1' if self.host == '0.0.0.0' else self.host}:{self.port}"

    def check_free(self) -> None:
        family = socket.AF_INET6 if ":" in self.host else socket.AF_INET
        with socket.socket(family, socket.SOCK_STREAM) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((self.host, self.port))
            except OSError as error:
                raise StartError(
                    f"Port {self.port} on {self.host} is not free. "
                    "Stop what uses it, or choose another: make start PORT=8010"
                ) from error


def commands(place: Place) -> dict[str, list[str]]:
    """The command of each part, by the name it is spoken of."""
    python = [sys.executable, "-m"]
    celery = [*python, "celery", "--quiet", "-A", "studio"]
    at_once = env.whole("WORKER_PROCESSES", 2 if (os.cpu_count() or 1) >= 4 else 1, low=1, high=64)
    web = [
        "--bind",
        f"{place.host}:{place.port}",
        "--worker-class",
        "studio.setup.web_worker.GatheringWorker",
        "--threads",
        "32",
    ]
    return {
        "web server": [
            *python, "gunicorn", "studio.setup.wsgi:application", *web,
            "--graceful-timeout", "3", "--log-level", "warning", "--forwarded-allow-ips", "",
        ],
        "worker": [*celery, "worker", "-Q", "celery", "--concurrency", str(at_once), "--loglevel", "INFO"],
        "mail worker": [
            *celery, "worker", "-Q", "mail", "-n", "mail@%h", "--pool", "solo", "--loglevel", "INFO",
        ],
        "scheduler": [*celery, "beat", "--loglevel", "WARNING"],
    }  # fmt: skip


@dataclass
class Part:
    """One child process after another by the same command; each leads a process group of its own."""

    name: str
    command: list[str]
    record: Record
    child: subprocess.Popen | None = None
    # By the monotonic clock: when the child was started; without a child, when the next one is due.
    since_s: float = 0.0

    def look_after(self, environment: dict[str, str], say: Callable[[str], None]) -> None:
        """Start the child where it is due; plan its next start where it ended, or raise StartError."""
        now_s = time.monotonic()
        if self.child is None:
            if now_s >= self.since_s:
                self.child = subprocess.Popen(self.command, env=environment, start_new_session=True)
                self.since_s = now_s
        elif (exit_code := self.child.poll()) is not None:
            self._plan_next(exit_code, now_s, say)

    def _plan_next(self, exit_code: int, now_s: float, say: Callable[[str], None]) -> None:
        self.end_group()
        self.record.add_end(now_s - self.since_s)
        reason = self.record.given_up_because(exit_code)
        if reason:
            raise StartError(f"The {self.name} {manner(exit_code)} {reason}; all is stopped.")
        pause_s = self.record.pause_s
        self.since_s = now_s + pause_s
        say(f"The {self.name} {manner(exit_code)} and is started again in {pause_s:g} s.")

    def has_ended(self) -> bool:
        return self.child is None or self.child.poll() is not None

    def end_group(self) -> None:
        """End whatever is left of the child, such as a web server's own children that still hold its port."""
        if self.child is not None:
            _signal_group(self.child, signal.SIGKILL)
            self.child.wait()
            self.child = None


@dataclass
class Parts:
    """Everything that runs, and what each part needs to run."""

    parts: list[Part]
    environment: dict[str, str]

    def look_after(self, say: Callable[[str], None]) -> None:
        for part in self.parts:
            part.look_after(self.environment, say)

    def stop(self, is_hurried: Callable[[], bool]) -> None:
        """Ask all to stop, wait a little, then end every process group that is left."""
        for part in self.parts:
            if part.child is not None:
                _signal_leader(part.child, signal.SIGTERM)
        limit = time.monotonic() + GRACE_S
        while time.monotonic() < limit and not is_hurried():
            if all(part.has_ended() for part in self.parts):
                break
            time.sleep(0.05)
        for part in self.parts:
            part.end_group()


def _signal_leader(child: subprocess.Popen, number: int) -> None:
    if child.poll() is None:
        child.send_signal(number)


def _signal_group(child: subprocess.Popen, number: int) -> None:
    # The group outlives its leader while any process of it runs, so it is signalled either way.
    try:
        os.killpg(child.pid, number)
    except (ProcessLookupError, PermissionError):
        return


class Stopper:
    """Counts the requests to stop: the first is polite, a second one hurries."""

    def __init__(self) -> None:
        self.asked = 0
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, self._ask)

    def _ask(self, *_) -> None:
        self.asked += 1

    def is_asked(self) -> bool:
        return self.asked > 0

    def is_hurried(self) -> bool:
        return self.asked > 1


def child_environment(place: Place) -> dict[str, str]:
    return {
        # macOS otherwise ends a forked worker that touches its networking classes.
        "OBJC_DISABLE_INITIALIZE_FORK_SAFETY": "YES",
        "SITE_ADDRESS": place.address,
        **os.environ,
    }


def answers(place: Place) -> bool:
    try:
        with urllib.request.urlopen(f"{place.address}/accounts/login/", timeout=2):
            return True
    except urllib.error.HTTPError:
        return True
    except OSError:
        return False


def run(place: Place, *, on_ready: Callable[[], None], say: Callable[[str], None]) -> None:
    """Run all parts until asked to stop, starting again what ends; raise StartError where that is no use."""
    place.check_free()
    stopper = Stopper()
    every_part = [Part(name, command, Record()) for name, command in commands(place).items()]
    parts = Parts(every_part, child_environment(place))
    try:
        _watch(place, parts, stopper, on_ready, say)
    finally:
        parts.stop(stopper.is_hurried)


def _watch(
    place: Place, parts: Parts, stopper: Stopper, on_ready: Callable[[], None], say: Callable[[str], None]
) -> None:
    ready, limit = False, time.monotonic() + START_LIMIT_S
    while not stopper.is_asked():
        parts.look_after(say)
        if not ready and answers(place):
            ready = True
            on_ready()
        elif not ready and time.monotonic() > limit:
            raise StartError(f"The web server did not answer within {START_LIMIT_S:.0f} seconds.")
        time.sleep(LOOK_EVERY_S)
