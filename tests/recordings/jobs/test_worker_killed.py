"""A real worker is killed with SIGKILL amid an analysis: the analysis finishes, once.

On the embedded ground (SQLite file, embedded broker) the message is lost with the worker; with PostgreSQL
and Redis it comes back far too late. In both cases the sweep sends again for the row whose heartbeat went
silent.
"""

import os
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from tests.recordings.sounds import tune_sound, write_sound
from tests.running import ROOT, environment, manage, wait_for

SHORT = {"ANALYSIS_SILENT_AFTER_S": "3", "ANALYSIS_SWEEP_S": "1", "LOG_LEVEL": "INFO"}
# Slow enough to last for a while, so that the worker is surely killed before the end.
SLOW_BPM = 30.0
WARM_S = 180

Ask = Callable[[str], list[tuple]]


@pytest.fixture
def embedded(tmp_path) -> tuple[dict, Ask]:
    def ask(query: str) -> list[tuple]:
        with closing(sqlite3.connect(tmp_path / "fairhearing.sqlite3", timeout=20)) as database:
            return database.execute(query).fetchall()

    return {}, ask


@pytest.fixture
def services(tmp_path) -> Iterator[tuple[dict, Ask]]:
    """A database of its own on the test server, and the emptied test broker."""
    import psycopg
    import redis

    server, lane = os.environ["TEST_DATABASE_URL"], os.environ["TEST_REDIS_URL"]
    name = f"fairhearing_worker_{os.getpid()}"
    address = urlsplit(server)._replace(path=f"/{name}").geturl()

    def ask(query: str) -> list[tuple]:
        with psycopg.connect(address) as database:
            return database.execute(query).fetchall()

    with psycopg.connect(server, autocommit=True) as database:
        database.execute(f"CREATE DATABASE {name}")
        redis.Redis.from_url(lane).flushdb()
        yield {"DATABASE_URL": address, "REDIS_URL": lane}, ask
        database.execute(f"DROP DATABASE {name} WITH (FORCE)")
        redis.Redis.from_url(lane).flushdb()


@contextmanager
def worker(data_dir: Path, extra: dict, number: int) -> Iterator[subprocess.Popen]:
    """A worker with the scheduler inside, in a process group of its own."""
    with (data_dir / f"worker-{number}.log").open("w") as log:
        process = subprocess.Popen(
            [sys.executable, "-m", "celery", "-A", "studio", "worker", "-B", "-c", "1", "-l", "INFO"],
            cwd=ROOT,
            env=environment(data_dir, **SHORT, **extra),
            stdout=log,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
        try:
            yield process
        finally:
            kill(process)


def kill(process: subprocess.Popen) -> None:
    if process.poll() is None:
        os.killpg(process.pid, signal.SIGKILL)
    process.wait(timeout=30)


@pytest.mark.slow
@pytest.mark.parametrize("ground", ["embedded", pytest.param("services", marks=pytest.mark.services)])
def test_a_worker_killed_amid_an_analysis(request, tmp_path, ground):
    extra, ask = request.getfixturevalue(ground)
    manage(tmp_path, "migrate", "-v", "0", **extra)
    hand_in(tmp_path, extra)

    def state_and_logs() -> str:
        logs = "\n".join(path.read_text() for path in sorted(tmp_path.glob("worker-*.log")))
        return f"{ask(ROW)}\n{logs}"

    with worker(tmp_path, extra, 1) as first:
        wait_for(lambda: is_amid(ask), state_and_logs, limit_s=WARM_S)
        kill(first)
    assert ask(ROW)[0][0] == "running", "the analysis had ended before the worker was killed"

    with worker(tmp_path, extra, 2):
        wait_for(lambda: ask(ROW)[0][0] in ("done", "failed"), state_and_logs, limit_s=WARM_S)
    state, _stage, attempts, failure = ask(ROW)[0]
    # a JSON text, which PostgreSQL's driver reads and SQLite's leaves as it is
    assert (state, attempts, failure.strip('"')) == ("done", 2, ""), state_and_logs()
    assert ask("SELECT count(*) FROM recordings_review") == [(1,)]
    assert ask("SELECT count(*) FROM recordings_reviewevent WHERE kind = 'drafted'") == [(1,)]
    assert ask("SELECT count(*) FROM recordings_analysis WHERE result IS NOT NULL") == [(1,)]


ROW = "SELECT state, stage, attempts, failure FROM recordings_analysis"


def is_amid(ask: Ask) -> bool:
    state, stage, _attempts, failure = ask(ROW)[0]
    assert state in ("waiting", "running"), failure
    return state == "running" and bool(stage)


def hand_in(data_dir: Path, extra: dict) -> None:
    wav = write_sound(data_dir / "take.wav", tune_sound(SLOW_BPM))
    done = subprocess.run(
        [sys.executable, "-m", "tests.recordings.jobs.small_season", str(wav)],
        cwd=ROOT,
        env=environment(data_dir, DJANGO_SETTINGS_MODULE="studio.setup.settings", **SHORT, **extra),
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
