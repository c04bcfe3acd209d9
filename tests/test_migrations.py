"""Migrations match the models and can be taken back and laid again."""

import os
import sqlite3
from pathlib import Path

import pytest
from django.core.management import call_command

from tests.running import manage

APPS = ("recordings", "studio", "repertoire")


@pytest.mark.django_db
def test_no_migration_is_missing():
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


@pytest.mark.slow
def test_back_to_nothing_and_forward_again(tmp_path):
    manage(tmp_path, "migrate", "--verbosity", "0")
    there = tables(tmp_path)
    assert {"recordings_take", "studio_student", "repertoire_excerpt"} <= there
    for app in ("account", "mfa", *APPS):
        manage(tmp_path, "migrate", app, "zero", "--verbosity", "0")
    assert not {name for name in tables(tmp_path) if name.startswith(APPS)}
    manage(tmp_path, "migrate", "--verbosity", "0")
    assert tables(tmp_path) == there


def tables(data_dir: Path) -> set[str]:
    with sqlite3.connect(os.fspath(data_dir / "fairhearing.sqlite3")) as database:
        return {name for (name,) in database.execute("select name from sqlite_master where type = 'table'")}
