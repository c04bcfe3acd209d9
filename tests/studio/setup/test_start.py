"""`manage.py start` for real: it opens, it stops cleanly, and it says why where it cannot."""

import os
import signal
import socket
import time

import pytest

from tests.running import RunningStudio, descendants, manage, processes, running_studio, status_of, wait_for

pytestmark = pytest.mark.slow
# A person who presses Ctrl-C should have the prompt back within this.
STOP_LIMIT_S = 10


@pytest.fixture(scope="module")
def data_dir(tmp_path_factory):
    folder = tmp_path_factory.mktemp("start")
    manage(folder, "migrate", "--verbosity", "0")
    return folder


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_opens_and_stops_without_orphans(data_dir, number):
    with running_studio(data_dir) as studio:
        assert status_of(f"{studio.address}/accounts/login/") == 200
        wait_for(lambda: len(descendants(studio.process.pid)) >= 4, studio.said)
        started = descendants(studio.process.pid)
        asked_at = time.monotonic()
        assert studio.stop(number) == 0, studio.said()
        assert time.monotonic() - asked_at < STOP_LIMIT_S
    assert not started & processes().keys()
    assert "All stopped." in studio.said()


def test_says_where_the_port_is_taken(data_dir):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        studio = RunningStudio(data_dir, port=port)
        assert studio.process.wait(timeout=60) == 1
    assert f"Port {port} on 127.0.0.1 is not free." in studio.said()
    assert "Traceback" not in studio.said()


def test_stops_all_when_a_part_ends_by_itself(data_dir):
    studio = RunningStudio(data_dir)
    try:
        studio.wait_until_open()
        started = descendants(studio.process.pid)
        part = min(pid for pid, (parent, _) in processes().items() if parent == studio.process.pid)
        os.kill(part, signal.SIGKILL)
        assert studio.process.wait(timeout=60) == 1
    finally:
        studio.stop()
    assert "ended by itself" in studio.said()
    assert not started & processes().keys()


def test_names_the_variable_that_is_wrong(data_dir):
    studio = RunningStudio(data_dir, HOST="127.0.0.1", WORKER_PROCESSES="many")
    assert studio.process.wait(timeout=60) == 1
    assert "WORKER_PROCESSES must be a whole number from 1 to 64" in studio.said()
