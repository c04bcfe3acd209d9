"""`manage.py start` for real: it opens, what ends comes back, it stops cleanly, or says why it cannot."""

import os
import signal
import socket

import pytest

from studio.setup.restarting import Patience
from tests.running import (
    PARTS,
    RunningStudio,
    age_s,
    answers_ping,
    descendants,
    manage,
    parts_of,
    processes,
    running_studio,
    status_of,
    wait_for,
)

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def data_dir(tmp_path_factory):
    folder = tmp_path_factory.mktemp("start")
    manage(folder, "migrate", "--verbosity", "0")
    return folder


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_opens_and_stops_without_orphans(data_dir, number):
    with running_studio(data_dir) as studio:
        assert status_of(f"{studio.address}/accounts/login/") == 200
        wait_for(lambda: len(descendants(studio.process.pid)) >= 4, studio.wording)
        started = descendants(studio.process.pid)
        assert studio.stop(number) == 0, studio.wording()
    assert not started & processes().keys()
    assert "All stopped." in studio.wording()


def test_says_where_the_port_is_taken(data_dir):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        studio = RunningStudio(data_dir, port=port)
        assert studio.process.wait(timeout=60) == 1
    assert f"Port {port} on 127.0.0.1 is not free." in studio.wording()
    assert "Traceback" not in studio.wording()


def test_a_part_killed_ten_times_comes_back_and_the_others_run_on(data_dir):
    with running_studio(data_dir) as studio:
        before = parts_of(studio)
        killed = set()
        for number in range(10):
            wait_for(lambda: "worker" in parts_of(studio), studio.wording)
            pid = parts_of(studio)["worker"]
            # Once it has run well before: the pauses begin anew, and ten early ends in a row are not reached.
            if number == 5:
                wait_for(lambda pid=pid: age_s(pid) > Patience().ran_well_s, studio.wording)
            os.kill(pid, signal.SIGKILL)
            killed.add(pid)
            wait_for(lambda pid=pid: pid not in processes(), studio.wording)
        wait_for(lambda: answers_ping(data_dir), studio.wording)
        after = parts_of(studio)
        assert len(killed) == 10
        assert after.pop("worker") not in killed
        assert after == {name: pid for name, pid in before.items() if name != "worker"}
        assert status_of(f"{studio.address}/accounts/login/") == 200
        started = descendants(studio.process.pid)
        assert studio.stop() == 0, studio.wording()
    assert not started & processes().keys()
    assert studio.wording().count("The worker was killed (signal 9) and is started again in ") == 10


def test_every_part_comes_back(data_dir):
    with running_studio(data_dir) as studio:
        before = parts_of(studio)
        assert before.keys() == set(PARTS.values())
        for pid in before.values():
            os.kill(pid, signal.SIGKILL)
        wait_for(
            lambda: (
                parts_of(studio).keys() == before.keys()
                and not set(parts_of(studio).values()) & set(before.values())
            ),
            studio.wording,
        )
        wait_for(lambda: studio.opens(), studio.wording)
        for name in before:
            assert f"The {name} was killed (signal 9) and is started again in 0.5 s." in studio.wording()


def test_names_the_variable_that_is_wrong(data_dir):
    studio = RunningStudio(data_dir, HOST="127.0.0.1", WORKER_PROCESSES="many")
    assert studio.process.wait(timeout=60) == 1
    assert "WORKER_PROCESSES must be a whole number from 1 to 64" in studio.wording()
