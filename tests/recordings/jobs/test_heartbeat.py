import pytest
from django.db import OperationalError

from recordings.jobs.heartbeat import ClaimLost, Heartbeat
from recordings.models import Analysis


def test_progress_never_goes_back(take):
    take.analysis.claim_for("one")
    heartbeat = Heartbeat(take.analysis, "one")
    for stage, fraction, percent in [("decode", 0.2, 20), ("checks", 0.1, 20), ("notes", 1.0, 99)]:
        heartbeat.report(stage, fraction)
        take.analysis.refresh_from_db()
        assert (take.analysis.stage, take.analysis.progress_percent) == (stage, percent)


def test_a_heartbeat_without_a_claim_stops_the_work(take):
    heartbeat = Heartbeat(take.analysis, "nobody")
    with pytest.raises(ClaimLost):
        heartbeat.report("decode", 0.1)
    assert not heartbeat.holds_claim()


def test_a_database_away_for_a_moment_does_not_lose_the_claim(take, monkeypatch):
    take.analysis.claim_for("one")
    heartbeat = Heartbeat(take.analysis, "one")

    def away(*_args, **_kwargs):
        raise OperationalError("away")

    with monkeypatch.context() as patched:
        patched.setattr(Analysis, "write_heartbeat", away)
        heartbeat.report("decode", 0.1)
    assert heartbeat.holds_claim()
    heartbeat.report("notes", 0.5)
