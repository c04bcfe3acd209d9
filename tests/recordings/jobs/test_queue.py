"""Takes put in the queue, announced to the workers, and looked after by the sweep."""

from datetime import timedelta

import pytest
from django.db.models import F
from django.utils import timezone
from kombu.exceptions import OperationalError

from recordings import tasks
from recordings.jobs import queue
from recordings.jobs.queue import measure_again
from recordings.models import Analysis
from repertoire.wording.words import words
from tests.recordings.conftest import silent_for


def test_a_broker_that_is_away_loses_nothing(hand_in, wav, monkeypatch, caplog):
    def away(_name, args):
        raise OperationalError("no broker")

    monkeypatch.setattr("celery.current_app.send_task", away)
    take = hand_in(wav).take
    assert take.analysis.state == Analysis.State.WAITING
    assert "No message could be sent" in caplog.text
    assert "First" not in caplog.text


def test_measure_again(measured, messages, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        assert measure_again(measured.analysis)
    measured.analysis.refresh_from_db()
    assert measured.analysis.state == Analysis.State.WAITING
    assert measured.analysis.attempts == 0
    assert messages == [measured.analysis.pk] * 2


def test_measure_again_while_it_waits_does_nothing(take, messages):
    assert not measure_again(take.analysis)
    assert len(messages) == 1


def test_the_sweep_leaves_the_living_alone(take):
    assert queue.sweep() == []
    assert take.analysis.claim_for("one")
    assert queue.sweep() == []


def test_the_sweep_replaces_a_lost_message_once_a_while(take, settings):
    silent_for(take.analysis, settings.ANALYSIS_SILENT_AFTER_S + 1)
    assert queue.sweep() == [take.analysis.pk]
    assert queue.sweep() == []


def test_the_sweep_replaces_a_silent_worker(take, settings):
    take.analysis.claim_for("one")
    silent_for(take.analysis, settings.ANALYSIS_SILENT_AFTER_S + 1)
    assert queue.sweep() == [take.analysis.pk]
    assert take.analysis.claim_for("two")
    assert take.analysis.attempts == 2


def test_the_sweep_gives_up_on_what_kills_its_workers(take, settings):
    silent_for(take.analysis, 3600, state="running", attempts=settings.ANALYSIS_MAX_ATTEMPTS, claim="one")
    assert queue.sweep() == []
    take.analysis.refresh_from_db()
    assert take.analysis.state == Analysis.State.FAILED
    assert "broken off several times" in words(take.analysis.failure)


def test_the_sweep_sends_a_message_each_time(take, messages):
    silent_for(take.analysis, 3600)
    tasks.sweep()
    assert messages == [take.analysis.pk] * 2


def test_the_scheduler_sweeps(settings):
    schedule = settings.CELERY_BEAT_SCHEDULE["sweep"]
    assert schedule["task"] == tasks.sweep.name
    assert schedule["schedule"] == settings.ANALYSIS_SWEEP_S


@pytest.fixture
def clock_off(monkeypatch):
    """`clock_off(hours=1)`: from now on this worker's own clock is wrong by so much."""
    right = timezone.now

    def wrong(**off) -> None:
        monkeypatch.setattr(timezone, "now", lambda: right() + timedelta(**off))

    yield wrong
    monkeypatch.undo()


def test_a_killed_worker_whose_clock_ran_ahead_is_replaced_as_soon_as_any(take, clock_off, settings):
    clock_off(hours=1)
    assert take.analysis.claim_for("ahead")
    clock_off(hours=0)
    late = timedelta(seconds=settings.ANALYSIS_SILENT_AFTER_S + 1)
    Analysis.objects.update(heartbeat_at=F("heartbeat_at") - late)
    assert queue.sweep() == [take.analysis.pk]
    assert take.analysis.claim_for("next")


def test_a_worker_whose_clock_runs_ahead_takes_nothing_from_the_living(take, clock_off):
    assert take.analysis.claim_for("living")
    clock_off(hours=1)
    assert queue.sweep() == []
    assert not take.analysis.claim_for("ahead")


def test_a_worker_whose_clock_runs_behind_keeps_its_claim(take, clock_off):
    clock_off(hours=-1)
    assert take.analysis.claim_for("behind")
    assert take.analysis.write_heartbeat("behind", stage="listening", progress_percent=5)
    clock_off(hours=0)
    assert queue.sweep() == []
    assert not take.analysis.claim_for("other")
