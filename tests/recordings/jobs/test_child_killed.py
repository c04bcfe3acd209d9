"""The analysis's process is killed by somebody: that says nothing of the take, which is tried again."""

import os
import signal
import subprocess

import pytest

from recordings.jobs import run
from recordings.jobs.heartbeat import Heartbeat
from recordings.models import Analysis
from repertoire.wording.words import words
from tests.recordings.sounds import tune_sound, write_sound

pytestmark = pytest.mark.slow

CHILD = "recordings.analysis.process.child"
REPORT = Heartbeat.report


def own_children() -> list[int]:
    """Numbers of the processes that measure for this one: forked from its warm parent, or started by it."""
    listed = subprocess.run(
        ["ps", "-A", "-ww", "-o", "pid=,ppid=,args="], capture_output=True, text=True, check=True
    )
    rows = [line.split(None, 2) for line in listed.stdout.splitlines()]
    started = {int(pid) for pid, parent, _ in rows if int(parent) == os.getpid()}
    return [
        int(pid)
        for pid, parent, words in rows
        if CHILD in words and (int(parent) in started or (int(pid) in started and "bounded_child" in words))
    ]


@pytest.fixture
def kills(monkeypatch) -> list[int]:
    """Every child is killed at its first sign of progress; its numbers."""
    killed: list[int] = []

    def kill_and_report(heartbeat: Heartbeat, stage: str, fraction: float) -> None:
        for pid in own_children():
            if pid not in killed:
                killed.append(pid)
                os.kill(pid, signal.SIGKILL)
        REPORT(heartbeat, stage, fraction)

    monkeypatch.setattr(Heartbeat, "report", kill_and_report)
    return killed


@pytest.fixture
def take(hand_in, tmp_path):
    return hand_in(write_sound(tmp_path / "take.wav", tune_sound(96.0))).take


def test_a_killed_child_leaves_its_take_waiting(take, kills):
    assert not run.measure(take.analysis.pk)
    take.analysis.refresh_from_db()
    assert len(kills) == 1
    assert (take.analysis.state, take.analysis.failure) == (Analysis.State.WAITING, "")
    assert take.analysis.attempts == 1


@pytest.mark.slow
def test_the_next_try_measures_it(take, kills, monkeypatch):
    run.measure(take.analysis.pk)
    monkeypatch.setattr(Heartbeat, "report", REPORT)
    assert run.measure(take.analysis.pk)
    take.analysis.refresh_from_db()
    assert (take.analysis.state, take.analysis.attempts) == (Analysis.State.DONE, 2)


def test_a_child_killed_each_time_ends_without_blaming_the_take(take, kills, settings):
    for _ in range(settings.ANALYSIS_MAX_ATTEMPTS):
        run.measure(take.analysis.pk)
    take.analysis.refresh_from_db()
    assert len(kills) == settings.ANALYSIS_MAX_ATTEMPTS
    assert take.analysis.state == Analysis.State.FAILED
    assert "broken off several times" in words(take.analysis.failure)
