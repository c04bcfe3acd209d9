"""A studio in use and an empty place, on both databases, and ways to ask them."""

import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from tests.running import ROOT, environment, manage, ready_demo

GROUNDS = ["embedded", pytest.param("services", marks=pytest.mark.services)]


@dataclass
class Place:
    """A data folder and its database."""

    data: Path
    address: str = ""
    extra: dict[str, str] = field(default_factory=dict)

    def run(self, *arguments: object) -> subprocess.CompletedProcess:
        return subprocess.run(
            [sys.executable, "manage.py", *map(str, arguments)],
            cwd=ROOT,
            env=environment(self.data, **self.extra),
            capture_output=True,
            text=True,
        )

    @contextmanager
    def opened(self):
        if self.address:
            import psycopg

            with psycopg.connect(self.address, autocommit=True) as server:
                yield server
        else:
            with closing(sqlite3.connect(self.data / "fairhearing.sqlite3", timeout=20)) as file:
                file.isolation_level = None
                yield file

    def ask(self, query: str) -> list[tuple]:
        with self.opened() as database:
            return database.execute(query).fetchall()

    def do(self, order: str) -> None:
        with self.opened() as database:
            database.execute(order)

    def sound(self, name: str) -> Path:
        return self.data / "media" / name

    def sounds(self) -> dict[str, bytes]:
        media = self.data / "media"
        return {
            str(path.relative_to(media)): path.read_bytes() for path in media.rglob("*") if path.is_file()
        }

    def rows(self) -> dict[str, list[tuple]]:
        """All that is stored, by table."""
        tables = (
            "studio_user",
            "studio_student",
            "recordings_take",
            "recordings_analysis",
            "recordings_remark",
        )
        return {table: sorted(map(str, self.ask(f"SELECT * FROM {table}"))) for table in tables}


@pytest.fixture
def places(request, tmp_path, ready) -> Iterator[list[Place]]:
    """A studio in use, and an empty place to restore to."""
    used = Place(tmp_path / "used")
    empty = Place(tmp_path / "empty")
    shutil.copytree(ready, used.data)
    empty.data.mkdir(mode=0o700)
    used.data.chmod(0o700)
    if request.param == "embedded":
        yield [used, empty]
        return
    import psycopg

    server = os.environ["TEST_DATABASE_URL"]
    names = [f"fairhearing_backup_{os.getpid()}_{which}" for which in ("used", "empty")]
    with psycopg.connect(server, autocommit=True) as database:
        for place, name in zip((used, empty), names, strict=True):
            database.execute(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")
            database.execute(f"CREATE DATABASE {name}")
            place.address = urlsplit(server)._replace(path=f"/{name}").geturl()
            place.extra = {"DATABASE_URL": place.address}
        shutil.rmtree(used.data / "media")
        (used.data / "fairhearing.sqlite3").unlink()
        manage(used.data, "migrate", "-v", "0", **used.extra)
        manage(used.data, "load_demo", **used.extra)
        yield [used, empty]
        for name in names:
            database.execute(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture(scope="session")
def ready(tmp_path_factory) -> Path:
    """The demo on the embedded database, made once."""
    return ready_demo(tmp_path_factory)
