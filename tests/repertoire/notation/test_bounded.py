"""How a bounded process ends, told apart; what it knows; that its limits are real."""

import json
import os
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from functools import partial

import pytest

from repertoire.notation import bounded_child
from repertoire.notation.bounded import ROOT, Ended, Ending, ProcessLimits, fresh, run
from repertoire.notation.warm import WarmParent

pytestmark = pytest.mark.slow

WORK = "tests.repertoire.notation.bounded_work"
LIMITS = ProcessLimits(time_s=60.0, memory_mb=500)
LIMIT_S = 60.0
SECRETS = ("DATABASE_URL", "REDIS_URL", "SECRET_KEY", "S3_SECRET_KEY", "AWS_SECRET_ACCESS_KEY", "EMAIL_URL")
linux_only = pytest.mark.skipif(sys.platform != "linux", reason="Linux alone has it")


@pytest.fixture(params=["from nothing", "from a warm parent"])
def work(request) -> Iterator[Callable[..., Ended]]:
    """Every promise holds for both ways to a process."""
    if request.param == "from nothing":
        yield partial(run_work, start=fresh)
        return
    parent = WarmParent(WORK)
    yield partial(run_work, start=parent)
    assert parent.serving or sys.platform != "linux"
    parent.close()


def run_work(*what: str, limits: ProcessLimits = LIMITS, **more) -> Ended:
    return run(WORK, *what, limits=limits, **more)


def is_there(pid: int) -> bool:
    listed = subprocess.run(["ps", "-o", "stat=", "-p", str(pid)], capture_output=True, text=True)
    return bool(listed.stdout.strip()) and not listed.stdout.startswith("Z")


def numbers_into(pids: list[int]):
    return lambda line: pids.extend(map(int, line.split()))


def wait_until_gone(*pids: int) -> None:
    limit = time.monotonic() + LIMIT_S
    while any(map(is_there, pids)):
        assert time.monotonic() < limit, "still there"
        time.sleep(0.05)


def test_what_goes_in_comes_out(work):
    data = bytes(range(256)) * 2000
    ended = work("echo", data=data)
    assert (ended.how, ended.exit_code, ended.output, ended.errors) == (Ending.FINISHED, 0, data, "")
    assert 5 < ended.peak_mb < 200


def test_it_knows_no_secret(work, monkeypatch):
    for name in SECRETS:
        monkeypatch.setenv(name, "planted secret")
    monkeypatch.setenv("NUMBA_CACHE_DIR", "a folder")
    known = json.loads(work("environ").output)
    assert not set(SECRETS) & known.keys()
    assert "planted secret" not in known.values()
    assert known["NUMBA_CACHE_DIR"] == "a folder"
    assert known["PYTHONUTF8"] == known["OPENBLAS_NUM_THREADS"] == "1"
    assert known["PYTHONPATH"].split(os.pathsep)[0] == str(ROOT)


@linux_only
def test_no_new_privileges_and_no_life_after_its_parent(work):
    assert work("privileges").output.split() == [b"1", b"SIGKILL"]


@linux_only
def test_out_of_memory_is_its_own_ending_with_its_peak(work):
    ended = work("take_memory", "500", limits=ProcessLimits(time_s=60.0, memory_mb=200))
    assert (ended.how, ended.exit_code) == (Ending.OUT_OF_MEMORY, bounded_child.OUT_OF_MEMORY_EXIT)
    assert 100 < ended.peak_mb <= 200


@linux_only
def test_data_only_is_a_limit_too(work):
    ended = work("take_memory", "500", limits=ProcessLimits(time_s=60.0, memory_mb=200, data_only=True))
    assert ended.how is Ending.OUT_OF_MEMORY
    assert 100 < ended.peak_mb < 300


def test_under_its_limit_it_finishes(work):
    assert work("take_memory", "100").output == b"100\n"


@pytest.mark.parametrize(
    ("library", "exit_code"), [("abort_as_cpp_does", -signal.SIGABRT), ("exit_as_openblas_does", 1)]
)
def test_a_library_that_gets_no_memory(work, library, exit_code):
    ended = work(library)
    assert (ended.how, ended.exit_code, ended.peak_mb) == (Ending.OUT_OF_MEMORY, exit_code, None)


@pytest.mark.parametrize(
    ("number", "how"),
    [
        (signal.SIGKILL, Ending.KILLED),
        (signal.SIGTERM, Ending.KILLED),
        (signal.SIGSEGV, Ending.CRASHED),
        (signal.SIGABRT, Ending.CRASHED),
        (signal.SIGXCPU, Ending.TOO_LONG),
    ],
)
def test_the_signal_tells_the_ending(work, number, how):
    ended = work("end_by", str(int(number)))
    assert (ended.how, ended.exit_code) == (how, -number)


def test_an_exception_is_a_crash_with_its_words(work):
    ended = work("stumble")
    assert ended.how is Ending.CRASHED
    assert "a fault of ours" in ended.errors
    assert "peak_mb" not in ended.errors
    assert ended.peak_mb > 0
    assert "it crashed (exit code 4, peak memory" in str(ended)


def test_processor_time_is_limited():
    limits = json.dumps({"memory_mb": 500, "data_only": False, "cpu_s": 1, "parent": os.getpid()})
    command = [sys.executable, "-m", "repertoire.notation.bounded_child", limits, WORK, "use_processor"]
    assert subprocess.run(command, cwd=ROOT, timeout=LIMIT_S).returncode == -signal.SIGXCPU


def test_a_time_out_ends_all_it_has_started(work):
    """A slow machine may need more than the first time given until its first line comes."""
    pids: list[int] = []
    times_s = iter((3.0, 10.0, 60.0))
    while not pids:
        limits = ProcessLimits(time_s=next(times_s), memory_mb=500)
        assert work("wait_for_ever", limits=limits, on_line=numbers_into(pids)).how is Ending.TOO_LONG
    assert len(pids) == 2
    wait_until_gone(*pids)


def test_no_longer_wanted(work):
    pids: list[int] = []
    ended = work("wait_for_ever", on_line=numbers_into(pids), keep_going=lambda: not pids)
    assert ended.how is Ending.STOPPED
    wait_until_gone(*pids)


def test_what_a_line_raises_comes_through_and_ends_it(work):
    pids: list[int] = []

    def refuse(line: bytes) -> None:
        pids.extend(map(int, line.split()))
        raise LookupError("not this")

    with pytest.raises(LookupError, match="not this"):
        work("wait_for_ever", on_line=refuse)
    wait_until_gone(*pids)


def test_killed_from_outside(work):
    def kill(line: bytes) -> None:
        for pid in map(int, line.split()):
            os.kill(pid, signal.SIGKILL)

    ended = work("wait_for_ever", on_line=kill)
    assert (ended.how, ended.exit_code) == (Ending.KILLED, -signal.SIGKILL)


PARENT = f"""
from repertoire.notation.bounded import ProcessLimits, run
limits = ProcessLimits(time_s=600, memory_mb=500)
run({WORK!r}, "wait_for_ever", limits=limits, on_line=lambda line: print(line.decode(), flush=True))
"""


@linux_only
def test_it_does_not_outlive_a_killed_parent():
    with subprocess.Popen([sys.executable, "-c", PARENT], cwd=ROOT, stdout=subprocess.PIPE) as parent:
        child, grandchild = map(int, parent.stdout.readline().split())
        parent.kill()
    wait_until_gone(child)
    with suppress(ProcessLookupError):
        os.kill(grandchild, signal.SIGKILL)


def test_a_system_that_refuses_limits_of_memory(monkeypatch):
    """macOS does: what cannot be limited is passed over, and what can be is."""
    asked = []

    def refusing(kind, limits):
        asked.append(kind)
        if kind in (resource.RLIMIT_AS, resource.RLIMIT_DATA):
            raise ValueError("current limit exceeds maximum limit")

    monkeypatch.setattr(resource, "setrlimit", refusing)
    bounded_child.set_limits(memory_mb=100, data_only=False, cpu_s=10)
    bounded_child.set_limits(memory_mb=100, data_only=True, cpu_s=10)
    assert asked.count(resource.RLIMIT_CPU) == asked.count(resource.RLIMIT_CORE) == 2
