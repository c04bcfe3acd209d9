"""Exercises waiting to be measured: the row is the job, the message only says that it is there."""

from datetime import timedelta

from django.db import transaction
from django.db.models import Q

from recordings.models import SightReading
from recordings.models.sight_reading import MOST_ATTEMPTS
from studio.models.database_clock import from_now
from studio.setup.messages import tell_workers

SIGHT_TASK = "recordings.measure_sight_reading"
# An exercise lasts under a minute and is measured in seconds; the limit is for files made to hurt.
MEASURE_TIMEOUT_S = 120
GONE_AFTER = timedelta(seconds=MEASURE_TIMEOUT_S + 60)


def request_measuring(pk: int) -> None:
    """Tell the workers of a waiting row as soon as it is committed."""
    transaction.on_commit(lambda: tell_workers(SIGHT_TASK, pk))


def nobody_at() -> Q:
    """Rows no worker holds: never taken up, or by one that is gone."""
    return Q(begun_at=None) | Q(begun_at__lt=from_now(-GONE_AFTER))


def sweep() -> list[int]:
    """Send again for what waits and nobody is at; what was tried too often is given up."""
    idle = SightReading.objects.waiting().filter(nobody_at())
    idle.filter(attempts__gte=MOST_ATTEMPTS).update(state=SightReading.State.FAILED)
    due = list(idle.filter(attempts__lt=MOST_ATTEMPTS).values_list("pk", flat=True))
    for pk in due:
        tell_workers(SIGHT_TASK, pk)
    return due
