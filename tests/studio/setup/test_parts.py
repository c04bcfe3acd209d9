"""The parts of the studio as processes, with small commands in the place of the real ones."""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from studio.setup.restarting import Patience, Record
from studio.setup.start import Part, Parts, StartError
from tests.running import processes, wait_for

STAYS = "import time; time.sleep(600)"
HASTY = Patience(first_pause_s=0.01, longest_pause_s=0.02, most_early_ends=3)


@contextmanager
def running(**codes: str) -> Iterator[tuple[Parts, list[str]]]:
    """Parts by name, each with the Python code it runs, and the sentences said of them."""
    reported: list[str] = []
    made = [Part(name, [sys.executable, "-c", code], Record(HASTY)) for name, code in codes.items()]
    parts = Parts(made, dict(os.environ))
    try:
        parts.look_after(reported.append)
        yield parts, reported
    finally:
        parts.stop(lambda: True)


def ends_the_second_time(marker) -> str:
    """Code that is killed at its first run, as no bad setting would do it, and fails at every later one."""
    return (
        "import os, pathlib, signal, sys\n"
        f"marker = pathlib.Path({str(marker)!r})\n"
        "sys.exit(3) if marker.exists() else marker.touch()\n"
        "os.kill(os.getpid(), signal.SIGKILL)"
    )


def test_a_part_that_ends_again_and_again_is_given_up_and_the_other_ran_on(tmp_path):
    with running(faulty=ends_the_second_time(tmp_path / "ran"), other=STAYS) as (parts, reported):
        other = parts.parts[1].child

        def look() -> bool:
            parts.look_after(reported.append)
            return False

        with pytest.raises(StartError, match=r"faulty ended by itself .* 3 times in a row soon after"):
            wait_for(look)
        assert reported == [
            "The faulty was killed (signal 9) and is started again in 0.01 s.",
            "The faulty ended by itself (exit code 3) and is started again in 0.02 s.",
        ]
        assert parts.parts[1].child is other
        assert other.poll() is None


def test_a_part_that_fails_at_its_first_start_ends_the_start(tmp_path):
    with running(faulty="raise SystemExit(4)") as (parts, reported):

        def look() -> bool:
            parts.look_after(reported.append)
            return False

        with pytest.raises(
            StartError, match=r"faulty ended by itself \(exit code 4\) right after its first start"
        ):
            wait_for(look)
        assert reported == []


def test_what_a_killed_part_left_behind_is_ended_before_it_is_started_again(tmp_path):
    left = tmp_path / "left"
    code = (
        "import pathlib, subprocess, sys, time\n"
        f"child = subprocess.Popen([sys.executable, '-c', {STAYS!r}])\n"
        f"pathlib.Path({str(left)!r}).open('a').write(f'{{child.pid}}\\n')\n"
        f"{STAYS}"
    )
    with running(leader=code) as (parts, reported):

        def count() -> int:
            parts.look_after(reported.append)
            return len(left.read_text().splitlines()) if left.exists() else 0

        wait_for(lambda: count() == 1)
        parts.parts[0].child.kill()
        wait_for(lambda: count() == 2)
        orphan = int(left.read_text().splitlines()[0])
        wait_for(lambda: orphan not in processes())
