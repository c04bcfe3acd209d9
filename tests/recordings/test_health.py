from datetime import timedelta

import pytest
from django.db import OperationalError
from django.utils import timezone

from recordings import health
from recordings.models import Analysis, Take


@pytest.fixture
def waiting(entry, requirement):
    take = Take.objects.create(entry=entry, requirement=requirement, sound="x", sha256="0", size=1)
    return Analysis.objects.create(take=take)


def test_all_well_without_signing_in(studio, client):
    response = client.get("/healthz")
    assert response.status_code == 200
    assert response.json() == {
        "ok": True,
        "database": "ok",
        "broker": "ok",
        "storage": "ok",
        "room": "ok",
        "sounds": "ok",
        "queue": "ok",
        "mail": "ok",
        "queue_age_s": None,
        "left_behind": 0,
        "mail_held_up": 0,
        "content_blocked": 0,
        "uploads_on_their_way": 0,
    }


def test_the_queue_has_an_age(waiting, client):
    Analysis.objects.update(created_at=timezone.now() - timedelta(seconds=90))
    report = client.get("/healthz").json()
    assert report["queue"] == "ok"
    assert 89 < report["queue_age_s"] < 120


def test_an_old_queue_is_not_well(waiting, client):
    too_old = timedelta(seconds=health.QUEUE_TOO_OLD_S + 1)
    Analysis.objects.update(created_at=timezone.now() - too_old)
    response = client.get("/healthz")
    assert response.status_code == 503
    assert response.json()["queue"] == "slow"


@pytest.mark.parametrize("part", ["database", "broker", "storage"])
def test_a_part_that_is_down_is_named(studio, client, monkeypatch, part):
    def fail():
        raise ConnectionError("secret-host:5432")

    monkeypatch.setitem(health.CHECKS, part, fail)
    response = client.get("/healthz")
    assert response.status_code == 503
    assert response.json()[part] == "down"
    assert "secret-host" not in response.text


def test_the_storage_check_writes_nothing(studio, client, settings):
    client.get("/healthz")
    assert not list(settings.MEDIA_ROOT.rglob("*"))


def test_a_storage_that_cannot_be_written_is_down(studio, client, monkeypatch):
    monkeypatch.setattr("recordings.health.os.access", lambda folder, how: False)
    response = client.get("/healthz")
    assert (response.status_code, response.json()["storage"]) == (503, "down")


def test_with_the_database_gone_the_page_still_answers(studio, client, monkeypatch):
    def fail(*args, **kwargs):
        raise OperationalError("server closed the connection")

    monkeypatch.setattr("studio.models.Studio.current", fail)
    monkeypatch.setitem(health.CHECKS, "database", fail)
    response = client.get("/healthz")
    assert response.status_code == 503
    assert response.json()["database"] == "down"
    assert response.json()["queue_age_s"] is None
