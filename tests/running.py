"""A studio that really runs, as `make start` runs it: its own data folder, its own port, real processes."""

import contextlib
import fcntl
import os
import re
import shlex
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
# A first start on a busy machine of two cores; never reached where all is well.
PATIENCE_S = 120


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def environment(data_dir: Path, **extra: str) -> dict[str, str]:
    """Only what a fresh machine has, so that a variable of the person who tests changes nothing."""
    kept = {name: os.environ[name] for name in ("PATH", "HOME", "LANG", "TMPDIR") if name in os.environ}
    kept |= {name: value for name, value in os.environ.items() if name.startswith("OPENBLAS")}
    return {**kept, "DATA_DIR": str(data_dir), "PYTHONUNBUFFERED": "1", **extra}


def manage(data_dir: Path, *arguments: str, **extra: str) -> str:
    done = subprocess.run(
        [sys.executable, "manage.py", *arguments],
        cwd=ROOT,
        env=environment(data_dir, **extra),
        capture_output=True,
        text=True,
        timeout=PATIENCE_S * 5,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def prepare_demo(data_dir: Path) -> None:
    """What `make start` does before it starts."""
    manage(data_dir, "migrate", "--verbosity", "0")
    manage(data_dir, "collectstatic", "--noinput", "--verbosity", "0")
    manage(data_dir, "load_demo", "--if-empty")


def ready_demo(tmp_path_factory) -> Path:
    """A prepared demo to be copied, never changed: made once for all processes of a test run."""
    shared = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        shared = shared.parent
    folder = shared / "ready-demo"
    with (shared / "ready-demo.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not folder.exists():
            fresh = Path(tempfile.mkdtemp(dir=shared))
            prepare_demo(fresh)
            fresh.rename(folder)
    return folder


class RunningStudio:
    """`manage.py start` in a process of its own, its output in a file."""

    def __init__(self, data_dir: Path, port: int | None = None, **extra: str) -> None:
        self.port = port or free_port()
        self.address = f"http://127.0.0.1:{self.port}"
        self.output = data_dir / "output.log"
        with self.output.open("w") as output:
            self.process = subprocess.Popen(
                [sys.executable, "manage.py", "start"],
                cwd=ROOT,
                env=environment(data_dir, PORT=str(self.port), **extra),
                stdout=output,
                stderr=subprocess.STDOUT,
            )

    def wording(self) -> str:
        return self.output.read_text(encoding="utf-8")

    def wait_until_open(self) -> None:
        wait_for(lambda: f"is open at {self.address}" in self.wording() or self._ended(), self.wording)
        assert not self._ended(), self.wording()

    def opens(self) -> bool:
        try:
            return status_of(f"{self.address}/accounts/login/") == 200
        except OSError:
            return False

    def _ended(self) -> bool:
        return self.process.poll() is not None

    def stop(self, number: int = signal.SIGINT) -> int:
        if not self._ended():
            self.process.send_signal(number)
        return self.process.wait(timeout=PATIENCE_S)


@contextlib.contextmanager
def running_studio(data_dir: Path, **extra: str) -> Iterator[RunningStudio]:
    studio = RunningStudio(data_dir, **extra)
    try:
        studio.wait_until_open()
        yield studio
    finally:
        studio.stop()


@contextlib.contextmanager
def running(command: list, **how):
    process = subprocess.Popen(command, **how)
    try:
        yield
    finally:
        process.terminate()
        process.wait(timeout=20)


def web_server(data: Path, *, port: int, **variables: str):
    """The README's own command."""
    found = re.search(r"`\.venv/bin/gunicorn ([^`]+)`", README)
    assert found
    arguments = shlex.split(found[1].replace("127.0.0.1:8000", f"127.0.0.1:{port}"))
    command = [sys.executable, "-m", "gunicorn", *arguments, "--log-level", "warning"]
    return running(command, cwd=ROOT, env=environment(data, **variables))


def wait_for(condition, tell=lambda: "", *, limit_s: float = PATIENCE_S) -> None:
    limit = time.monotonic() + limit_s
    while not condition():
        assert time.monotonic() < limit, f"not within {limit_s:.0f} s: {tell()}"
        time.sleep(0.1)


def status_of(address: str) -> int:
    try:
        with urllib.request.urlopen(address, timeout=10) as answer:
            return answer.status
    except urllib.error.HTTPError as error:
        return error.code


def processes() -> dict[int, tuple[int, str]]:
    """Parent and state of every process of this machine, by its number; ended ones left out."""
    reported = subprocess.run(
        ["ps", "-A", "-o", "pid=,ppid=,stat="], capture_output=True, text=True, check=True
    )
    rows = (line.split() for line in reported.stdout.splitlines())
    return {int(pid): (int(parent), state) for pid, parent, state in rows if not state.startswith("Z")}


def descendants(pid: int) -> set[int]:
    table = processes()
    found, fresh = set(), {pid}
    while fresh:
        fresh = {child for child, (parent, _) in table.items() if parent in fresh} - found
        found |= fresh
    return found


PARTS = {"gunicorn": "web server", "mail": "mail worker", "worker": "worker", "beat": "scheduler"}


def parts_of(studio: RunningStudio) -> dict[str, int]:
    """The number of every part's leading process that runs, by the name `manage.py start` gives the part."""
    # Whole lines: where COLUMNS is set, ps cuts them off before the word that names the part.
    reported = subprocess.run(
        ["ps", "-A", "-ww", "-o", "pid=,ppid=,stat=,args="], capture_output=True, text=True, check=True
    )
    found = {}
    for pid, parent, state, command in (line.split(None, 3) for line in reported.stdout.splitlines()):
        if int(parent) == studio.process.pid and not state.startswith("Z"):
            words = command.split()
            if name := next((name for word, name in PARTS.items() if word in words), ""):
                found[name] = int(pid)
    return found


def age_s(pid: int) -> int:
    reported = subprocess.run(
        ["ps", "-p", str(pid), "-o", "etimes="], capture_output=True, text=True, check=True
    )
    return int(reported.stdout)


def answers_ping(data_dir: Path) -> bool:
    """Whether the worker of takes answers through the broker."""
    which = ["--destination", f"celery@{socket.gethostname()}"]
    command = [sys.executable, "-m", "celery", "-A", "studio", "inspect", "ping", "--timeout", "5", *which]
    return subprocess.run(command, cwd=ROOT, env=environment(data_dir), capture_output=True).returncode == 0
