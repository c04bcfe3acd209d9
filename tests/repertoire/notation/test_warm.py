"""What a warm parent promises beyond what every bounded process does (`test_bounded.py` asks both ways)."""

import json
import multiprocessing
import os
import signal
import subprocess
import sys

import pytest

from repertoire.notation.bounded import ROOT, Ending, ProcessLimits, run
from repertoire.notation.warm import WarmParent
from tests.repertoire.notation.test_bounded import LIMITS, WORK, is_there, wait_until_gone

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(sys.platform != "linux", reason="elsewhere work starts from nothing"),
]


@pytest.fixture
def parent():
    warm = WarmParent(WORK)
    yield warm
    warm.close()


def who(parent: WarmParent) -> tuple[int, int]:
    """The numbers of the child and of the process it was forked from."""
    child, forked_from = map(int, run(WORK, "family", limits=LIMITS, start=parent).output.split())
    return child, forked_from


def test_one_parent_many_children(parent):
    seen = [who(parent) for _ in range(3)]
    assert len({child for child, _ in seen}) == 3
    assert len({forked_from for _, forked_from in seen}) == 1
    assert seen[0][1] != os.getpid()


def test_nothing_of_one_piece_of_work_is_left_for_the_next(parent):
    assert run(WORK, "remember", "a take", limits=LIMITS, start=parent).output == b"nothing\n"
    assert run(WORK, "remember", "another", limits=LIMITS, start=parent).output == b"nothing\n"


def test_a_child_killed_by_its_limit_leaves_the_parent_well(parent):
    before = who(parent)[1]
    small = ProcessLimits(time_s=60.0, memory_mb=200, data_only=True)
    short = ProcessLimits(time_s=1.0, memory_mb=500)
    assert run(WORK, "take_memory", "500", limits=small, start=parent).how is Ending.OUT_OF_MEMORY
    assert run(WORK, "use_processor", limits=short, start=parent).how is Ending.TOO_LONG
    assert run(WORK, "end_by", str(int(signal.SIGSEGV)), limits=LIMITS, start=parent).how is Ending.CRASHED
    assert who(parent)[1] == before


def test_it_is_made_anew_after_its_share_of_work():
    parent = WarmParent(WORK, renew_after=2)
    parents = [who(parent)[1] for _ in range(5)]
    parent.close()
    assert [parents[0]] * 2 + [parents[2]] * 2 + [parents[4]] == parents
    assert len(set(parents)) == 3
    wait_until_gone(*parents)


def test_a_killed_parent_is_followed_by_another(parent):
    first = who(parent)[1]
    os.kill(first, signal.SIGKILL)
    wait_until_gone(first)
    without = who(parent)
    assert without[1] == os.getpid()
    second = who(parent)[1]
    assert second not in (first, os.getpid())


def test_a_parent_killed_amid_work_is_nobodys_fault(parent):
    numbers: list[int] = []

    def kill_the_parent(line: bytes) -> None:
        numbers.extend(map(int, line.split()))
        os.kill(numbers[1], signal.SIGKILL)

    ended = run(WORK, "family_and_wait", limits=LIMITS, start=parent, on_line=kill_the_parent)
    assert ended.how is Ending.KILLED
    wait_until_gone(*numbers)


def test_a_parent_that_cannot_be_made_is_done_without():
    parent = WarmParent("tests.no_such_module")
    ended = run("tests.no_such_module", limits=LIMITS, start=parent)
    assert ended.how is Ending.CRASHED
    assert "no_such_module" in ended.errors


def test_only_its_own_module_is_forked(parent):
    child = run("tests.repertoire.notation.bounded_work", "family", limits=LIMITS, start=WarmParent("json"))
    assert int(child.output.split()[1]) == os.getpid()


def _as_pool_worker(parent, answers) -> None:
    answers.put(who(parent)[1])


def test_a_worker_of_a_pool_gets_a_parent_of_its_own(parent):
    ours = who(parent)[1]
    fork = multiprocessing.get_context("fork")
    answers = fork.Queue()
    worker = fork.Process(target=_as_pool_worker, args=(parent, answers), daemon=True)
    worker.start()
    theirs = answers.get(timeout=60)
    worker.join(timeout=30)
    assert theirs != ours
    assert is_there(ours)
    wait_until_gone(theirs)
    assert who(parent)[1] == ours


WORKER = f"""
from repertoire.notation.bounded import ProcessLimits, run
from repertoire.notation.warm import WarmParent
limits = ProcessLimits(time_s=600, memory_mb=500)
show = lambda line: print(line.decode(), flush=True)
run({WORK!r}, "family_and_wait", limits=limits, start=WarmParent({WORK!r}), on_line=show)
"""


def test_it_does_not_outlive_a_killed_worker():
    with subprocess.Popen([sys.executable, "-c", WORKER], cwd=ROOT, stdout=subprocess.PIPE) as worker:
        child, forked_from = map(int, worker.stdout.readline().split())
        worker.kill()
    wait_until_gone(child, forked_from)


def test_the_parent_knows_no_secret_either(monkeypatch, parent):
    monkeypatch.setenv("DATABASE_URL", "planted secret")
    assert "DATABASE_URL" not in json.loads(run(WORK, "environ", limits=LIMITS, start=parent).output)
    forked_from = who(parent)[1]
    with open(f"/proc/{forked_from}/environ", "rb") as known:
        assert b"planted secret" not in known.read()
