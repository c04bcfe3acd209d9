"""Migrations match the models, stand alone, go back and forth, and take a database of version 0.2 along."""

import ast
import os
import shutil
import sqlite3
from pathlib import Path

import pytest
from django.core.management import call_command
from django.core.management.base import SystemCheckError
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

from tests.running import ROOT, manage, ready_demo

APPS = ("recordings", "studio", "repertoire")
# Written anew by Django at the end of `migrate`, and no data of ours.
BOOKS = ("django_migrations", "django_content_type", "auth_permission", "sqlite_sequence")
FILES = [path for app in APPS for path in sorted((ROOT / app / "migrations").glob("*.py"))]


@pytest.mark.django_db
def test_no_migration_is_missing():
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


@pytest.mark.parametrize("path", FILES, ids=lambda path: f"{path.parts[-3]}-{path.stem}")
def test_migrations_import_nothing_that_can_move(path):
    assert not ours_among(imports(path.read_text(encoding="utf-8")))


@pytest.mark.parametrize(
    "line",
    [
        "import studio.models.user",
        "from repertoire.models import Excerpt",
        "from recordings import models",
        "from . import helpers",
        "from ..models import Take",
        "if True:\n    import studio",
        "import_module('repertoire.models')",
        "__import__('studio')",
    ],
)
def test_an_import_of_our_own_code_is_found(line):
    assert ours_among(imports(line))


def test_a_room_begins_with_one_migration_that_stands_for_the_earlier_ones():
    loader = MigrationLoader(None)
    for app in APPS:
        (first,) = (key for key in loader.disk_migrations if key[0] == app and key[1].startswith("0001"))
        assert loader.disk_migrations[first].replaces
        assert not set(loader.disk_migrations[first].replaces) & loader.disk_migrations.keys()


@pytest.mark.slow
def test_back_to_nothing_and_forward_again_with_the_demo_in_it(tmp_path):
    manage(tmp_path, "migrate", "--verbosity", "0")
    laid, empty = schema(tmp_path), rows(tmp_path)
    assert {"recordings_take", "studio_student", "repertoire_excerpt"} <= {name for _, name, _ in laid}
    manage(tmp_path, "load_demo")
    assert rows(tmp_path)["recordings_take"]
    for app in ("account", "mfa", *APPS):
        manage(tmp_path, "migrate", app, "zero", "--verbosity", "0")
    assert not {name for _, name, _ in schema(tmp_path) if name.startswith(APPS)}
    manage(tmp_path, "migrate", "--verbosity", "0")
    assert schema(tmp_path) == laid
    assert rows(tmp_path) == empty


@pytest.mark.slow
def test_a_database_of_the_earlier_migrations_is_kept_as_it_is(tmp_path, tmp_path_factory):
    shutil.copytree(ready_demo(tmp_path_factory), tmp_path, dirs_exist_ok=True)
    replaced = {app: names_recorded(tmp_path, app) - names_on_disk(app) for app in APPS}
    assert {app: len(names) for app, names in replaced.items()} == {
        "recordings": 3,
        "studio": 3,
        "repertoire": 9,
    }
    with database(tmp_path) as open_database:
        for app in APPS:
            for name in first_names(app):
                open_database.execute("delete from django_migrations where app = ? and name = ?", (app, name))
    before = schema(tmp_path), rows(tmp_path)
    assert "No migrations to apply" in manage(tmp_path, "migrate")
    assert (schema(tmp_path), rows(tmp_path)) == before
    assert {app: names_recorded(tmp_path, app) for app in APPS} == {
        app: names | names_on_disk(app) for app, names in replaced.items()
    }


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("app", "last"),
    [
        ("recordings", "0003_score_hash"),
        ("studio", "0003_order_as_a_line"),
        ("repertoire", "0009_order_of_play_read_anew"),
    ],
)
def test_a_database_older_than_that_is_refused_with_a_sentence(app, last):
    recorder = MigrationRecorder(connection)
    for name in (last, *first_names(app)):
        recorder.record_unapplied(app, name)
    with pytest.raises(SystemCheckError, match=f"tables of {app} .* are older than version 0.2"):
        call_command("migrate", verbosity=0, skip_checks=False)


@pytest.mark.django_db
def test_an_up_to_date_database_is_not_refused():
    call_command("check", databases=["default"])


def imports(code: str) -> list[str]:
    """Every module a file imports, by statement or by a call with its name; "." for a relative import."""
    found = []
    for node in ast.walk(ast.parse(code)):
        match node:
            case ast.Import(names=names):
                found += [alias.name for alias in names]
            case ast.ImportFrom(module=module, level=level):
                found.append("." if level else str(module))
            case ast.Call(
                func=ast.Name(id="import_module" | "__import__") | ast.Attribute(attr="import_module"),
                args=[ast.Constant(value=str(name)), *_],
            ):
                found.append(name)
    return found


def ours_among(modules: list[str]) -> list[str]:
    return [name for name in modules if name == "." or name.split(".")[0] in APPS]


def names_on_disk(app: str) -> set[str]:
    return {path.stem for path in FILES if path.parts[-3] == app and path.stem != "__init__"}


def first_names(app: str) -> set[str]:
    return {name for label, name in MigrationLoader(None).replacements if label == app}


def database(data_dir: Path) -> sqlite3.Connection:
    return sqlite3.connect(os.fspath(data_dir / "fairhearing.sqlite3"))


def names_recorded(data_dir: Path, app: str) -> set[str]:
    with database(data_dir) as open_database:
        found = open_database.execute("select name from django_migrations where app = ?", (app,))
        return {name for (name,) in found}


def schema(data_dir: Path) -> set[tuple[str, str, str | None]]:
    with database(data_dir) as open_database:
        return set(open_database.execute("select type, name, sql from sqlite_master"))


def rows(data_dir: Path) -> dict[str, list[tuple]]:
    tables = [name for kind, name, _ in schema(data_dir) if kind == "table" and name not in BOOKS]
    with database(data_dir) as open_database:
        return {name: sorted(open_database.execute(f'select * from "{name}"'), key=repr) for name in tables}
