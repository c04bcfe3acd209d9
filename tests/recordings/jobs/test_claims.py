"""Many workers grasp at one row at once: one gets it. Needs a database with more than one connection."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.db import connection

from recordings.models import Analysis
from tests.recordings.conftest import plain_take

WORKERS = 8


@pytest.mark.django_db(transaction=True)
def test_of_many_claims_at_once_one_wins(entry, requirement):
    analysis = plain_take(entry, requirement).analysis
    together = Barrier(WORKERS)

    def grasp(number: int) -> bool:
        try:
            mine = Analysis.objects.get(pk=analysis.pk)
            together.wait(timeout=20)
            return mine.claim_for(f"worker {number}")
        finally:
            connection.close()

    with ThreadPoolExecutor(WORKERS) as pool:
        won = list(pool.map(grasp, range(WORKERS)))
    assert won.count(True) == 1
    analysis.refresh_from_db()
    assert analysis.attempts == 1
    assert analysis.claim == f"worker {won.index(True)}"
