"""Thin doors for the workers: an id comes in, one plain function is called, safe to run twice."""

import logging
from threading import Thread

from celery import shared_task
from celery.signals import worker_ready
from django.utils import timezone
from kombu.exceptions import OperationalError

from recordings.jobs import run
from recordings.takes import lifetime

log = logging.getLogger(__name__)


@shared_task(name="recordings.measure")
def measure(analysis_id: int) -> None:
    run.measure(analysis_id)


@shared_task(name="recordings.ring_again", expires=60)
def ring_again() -> None:
    for analysis_id in run.sweep():
        ring(analysis_id)


@shared_task(name="recordings.delete_expired")
def delete_expired() -> None:
    count = lifetime.delete_expired(timezone.localdate())
    log.info("%s takes kept no longer were deleted.", count)


def ring(analysis_id: int) -> None:
    """Send the id and nothing else; a broker that is away is no loss, since the sweep rings again."""
    try:
        measure.delay(analysis_id)
    except (OperationalError, OSError):
        log.warning("The bell for analysis %s could not be rung; the sweep will ring again.", analysis_id)


@worker_ready.connect
def warm_up(**_kwargs) -> None:
    # In a thread: a worker that is late with its first sign of life is taken for dead and killed.
    Thread(target=run.warm_up, name="warm-up", daemon=True).start()
