"""The ground every test stands on: private folders, quick password hashes, an embedded broker of its own."""

import os
from importlib import import_module

import pytest
from django.apps import apps as registry
from django.conf import settings
from django.db import connections
from django.db.backends.sqlite3.base import DatabaseOperations
from django.db.models.signals import post_migrate
from django.test import override_settings

from studio.setup import env

SERVICES = ("TEST_DATABASE_URL", "TEST_REDIS_URL")


@pytest.fixture(scope="session", autouse=True)
def own_ground(tmp_path_factory):
    """Nothing a test writes or sends reaches the data folder of the person who runs the tests."""
    ground = tmp_path_factory.mktemp("ground")
    for name in ("incoming", "static"):
        (ground / name).mkdir()
    plain_static = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
    lane = _own_redis()
    overrides = override_settings(
        CACHES={name: _moved(facts, lane) for name, facts in settings.CACHES.items()},
        DATA_DIR=ground,
        MEDIA_ROOT=ground / "media",
        STATIC_ROOT=ground / "static",
        FILE_UPLOAD_TEMP_DIR=ground / "incoming",
        STORAGES={**settings.STORAGES, "staticfiles": plain_static},
        PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"],
    )
    with overrides:
        _use_own_broker(ground, lane)
        yield


@pytest.fixture(scope="session")
def django_db_modify_db_settings(tmp_path_factory, django_db_modify_db_settings_parallel_suffix):
    """SQLite in a file, as in real life: in memory it knows no waiting, and a server's threads collide."""
    facts = connections["default"].settings_dict
    if facts["ENGINE"].endswith("sqlite3"):
        facts["TEST"]["NAME"] = str(tmp_path_factory.mktemp("database") / "test.sqlite3")


@pytest.fixture(scope="session", autouse=True)
def shipped_forms_come_back():
    """Emptying the database after a live server's test would take the migration's marking forms along."""
    add_forms = import_module("repertoire.migrations.0001_music_and_marking_forms").add_forms

    def bring_back(sender, **_) -> None:
        add_forms(registry, None)

    post_migrate.connect(bring_back, sender=registry.get_app_config("repertoire"))
    yield
    post_migrate.disconnect(bring_back, sender=registry.get_app_config("repertoire"))


@pytest.fixture(scope="session", autouse=True)
def emptying_passes_the_record_of_events():
    """Between tests that write for good SQLite is emptied by DELETE, which the record's trigger refuses."""
    triggers, plain = import_module("studio.migrations.0013_event").SQLITE, DatabaseOperations.sql_flush

    def flush(self, style, tables, **how) -> list[str]:
        orders = plain(self, style, tables, **how)
        if "studio_event" not in tables:
            return orders
        return ["DROP TRIGGER IF EXISTS studio_event_kept", *orders, triggers[1]]

    DatabaseOperations.sql_flush = flush
    yield
    DatabaseOperations.sql_flush = plain


def _own_redis() -> str:
    """Each process of a parallel run has a number of its own in that Redis, counted from the one named."""
    named = os.environ.get("REDIS_URL", "")
    if named:
        server, number = named.rsplit("/", 1)
        process = os.environ.get("PYTEST_XDIST_WORKER", "gw0").removeprefix("gw")
        os.environ["REDIS_URL"] = f"{server}/{int(number) + int(process)}"
    return os.environ.get("REDIS_URL", "")


def _moved(cache: dict, lane: str) -> dict:
    return cache | {"LOCATION": lane} if lane and cache["BACKEND"].endswith(".Redis") else cache


def _use_own_broker(ground, lane: str) -> None:
    from studio.setup.celery import app

    if lane:
        app.conf.broker_url = lane
    elif not env.text("BROKER_URL"):
        app.conf.broker_url, app.conf.broker_transport_options = env.broker("BROKER_URL", ground)


def pytest_collection_modifyitems(items):
    # With several processes, the files that take long must not be what the last one is left alone with.
    items.sort(key=lambda item: not item.get_closest_marker("slow") and "browser" not in item.path.parts)
    missing = [name for name in SERVICES if not os.environ.get(name)]
    if not missing:
        return
    skip = pytest.mark.skip(reason=f"needs PostgreSQL and Redis: set {' and '.join(missing)}")
    for item in items:
        if item.get_closest_marker("services"):
            item.add_marker(skip)
