import re
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.exceptions import ImproperlyConfigured

from studio.setup import env
from tests.running import README, ROOT, environment, free_port, manage

READERS = [
    (lambda: env.flag("V", False), "perhaps"),
    (lambda: env.whole("V", 1), "many"),
    (lambda: env.whole("V", 1, low=1, high=9), "10"),
    (lambda: env.whole("V", 1, low=1), "0"),
    (lambda: env.folder("V", Path("/x")), "not/absolute"),
    (lambda: env.zone("V", "UTC"), "Nowhere/Land"),
    (lambda: env.database("V", Path("/x")), "mysql://host/name"),
    (lambda: env.database("V", Path("/x")), "postgres://host"),
    (lambda: env.database("V", Path("/x")), "postgres://host:many/name"),
    (lambda: env.database("V", Path("/x")), "postgres://host:70000/name"),
    (lambda: env.database("V", Path("/x")), "postgres://[host/name"),
    (lambda: env.broker("V", Path("/x")), "just-a-host"),
    (lambda: env.broker("V", Path("/x")), "redis://host:many/0"),
    (lambda: env.secret("V", Path("/x")), "short"),
]


@pytest.mark.parametrize(("read", "value"), READERS)
def test_a_bad_value_names_its_variable(monkeypatch, read, value):
    monkeypatch.setenv("V", value)
    with pytest.raises(ImproperlyConfigured, match=r"environment variable V must be"):
        read()


def test_the_value_itself_is_not_repeated(monkeypatch):
    monkeypatch.setenv("V", "short-secret")
    with pytest.raises(ImproperlyConfigured) as caught:
        env.secret("V", Path("/x"))
    assert "short-secret" not in str(caught.value)


@pytest.mark.parametrize(("value", "meant"), [("yes", True), ("ON", True), ("0", False), ("", True)])
def test_flags(monkeypatch, value, meant):
    monkeypatch.setenv("V", value)
    assert env.flag("V", True) is meant


def test_defaults_with_none_set(monkeypatch, tmp_path):
    monkeypatch.delenv("V", raising=False)
    assert env.text("V", "d") == "d"
    assert env.whole("V", 5) == 5
    assert env.words("V", ("a", "b")) == ["a", "b"]
    assert env.folder("V", tmp_path) == tmp_path
    assert env.database("V", tmp_path)["NAME"] == tmp_path / "fairhearing.sqlite3"
    address, options = env.broker("V", tmp_path)
    assert address == "folder://"
    assert options["polling_interval"] == 0.1
    assert Path(options["data_folder_in"]).is_dir()


def test_a_postgres_address(monkeypatch, tmp_path):
    monkeypatch.setenv("V", "postgres://u:p%40ss@db:5433/hearing?sslmode=require")
    database = env.database("V", tmp_path)
    assert database["ENGINE"].endswith("postgresql")
    assert (database["USER"], database["PASSWORD"]) == ("u", "p@ss")
    assert (database["HOST"], database["PORT"], database["NAME"]) == ("db", 5433, "hearing")
    assert database["OPTIONS"] == {"sslmode": "require"}


def test_words_are_split_and_trimmed(monkeypatch):
    monkeypatch.setenv("V", "a.example, b.example,,")
    assert env.words("V") == ["a.example", "b.example"]


def test_the_key_is_made_once_and_kept_privately(monkeypatch, tmp_path):
    monkeypatch.delenv("V", raising=False)
    first = env.secret("V", tmp_path)
    assert len(first) > 40
    assert env.secret("V", tmp_path) == first
    assert (tmp_path / "secret_key").stat().st_mode & 0o777 == 0o600


@pytest.mark.slow
def test_a_missing_key_beside_a_database_in_use_is_refused_with_its_cure(tmp_path):
    data = tmp_path / "data"
    manage(data, "migrate", "--verbosity", "0")
    kept = (data / "secret_key").read_text()
    (data / "secret_key").unlink()
    refused = subprocess.run(
        [sys.executable, "manage.py", "check"],
        cwd=ROOT,
        env=environment(data),
        capture_output=True,
        text=True,
    )
    assert refused.returncode != 0
    assert "its key is missing" in refused.stderr
    assert not (data / "secret_key").exists()
    (data / "secret_key").write_text(kept)
    manage(data, "check")
    (data / "secret_key").unlink()
    manage(data, "check", SECRET_KEY=kept)


def test_a_database_that_cannot_be_asked_gets_no_new_key(monkeypatch, tmp_path):
    monkeypatch.delenv("V", raising=False)
    monkeypatch.setenv("D", f"postgres://u:p@127.0.0.1:{free_port()}/hearing")
    with pytest.raises(ImproperlyConfigured, match="cannot be reached"):
        env.secret("V", tmp_path, env.database("D", tmp_path))
    assert not (tmp_path / "secret_key").exists()


def test_a_data_folder_others_can_look_into_is_refused_with_its_cure(monkeypatch, tmp_path):
    opened = tmp_path / "data"
    opened.mkdir()
    opened.chmod(0o755)
    monkeypatch.setenv("V", str(opened))
    with pytest.raises(ImproperlyConfigured, match=f"chmod -R go-rwx {opened}"):
        env.private_folder("V", tmp_path)
    opened.chmod(0o700)
    assert env.private_folder("V", tmp_path) == opened


@pytest.mark.slow
def test_everything_written_is_for_the_studios_own_account(tmp_path):
    data = tmp_path / "data"
    manage(data, "migrate", "--verbosity", "0")
    written = [data, *data.rglob("*")]
    assert data / "fairhearing.sqlite3" in written
    assert not [path for path in written if path.stat().st_mode & 0o077]


def test_sqlite_overwrites_what_is_deleted(monkeypatch, tmp_path):
    """Nothing of a deleted row can be read in the files, once its journal is emptied."""
    monkeypatch.delenv("DATABASE_URL", raising=False)
    known = env.database("DATABASE_URL", tmp_path)
    with sqlite3.connect(known["NAME"]) as database:
        database.executescript(known["OPTIONS"]["init_command"])
        database.execute("CREATE TABLE kept (word TEXT)")
        names = [(f"a child's name {number}",) for number in range(2000)]
        database.executemany("INSERT INTO kept VALUES (?)", names)
        database.commit()
        database.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        assert b"a child's name" in known["NAME"].read_bytes()
        database.execute("DELETE FROM kept")
        database.commit()
        database.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    assert b"a child's name" not in b"".join(path.read_bytes() for path in tmp_path.iterdir())


def test_the_check_of_what_is_deployed_finds_nothing_with_the_readmes_example(tmp_path):
    [line] = [line for line in README.splitlines() if line.startswith("with `SITE_ADDRESS=")]
    said = dict(re.findall(r"`([A-Z_]+)=([^`]+)`", line))
    assert set(said) == {"SITE_ADDRESS", "ALLOWED_HOSTS", "TRUSTED_PROXIES", "HSTS_SECONDS"}
    manage(tmp_path, "check", "--deploy", "--fail-level", "WARNING", **said)
