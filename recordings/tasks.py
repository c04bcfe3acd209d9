"""Thin doors for the workers: an id comes in, one plain function is called, safe to run twice."""

import logging

from celery import shared_task
from celery.signals import worker_process_init
from kombu.exceptions import OperationalError

from recordings import measuring

log = logging.getLogger(__name__)


@shared_task(name="recordings.measure")
def measure(analysis_id: int) -> None:
    measuring.measure(analysis_id)


@shared_task(name="recordings.ring_again", expires=60)
def ring_again() -> None:
    for analysis_id in measuring.sweep():
        ring(analysis_id)


def ring(analysis_id: int) -> None:
    """Send the id and nothing else; a broker that is away is no loss, since the sweep rings again."""
    try:
        measure.delay(analysis_id)
    except (OperationalError, OSError):
        log.warning("The bell for analysis %s could not be rung; the sweep will ring again.", analysis_id)


@worker_process_init.connect
def warm_up(**_kwargs) -> None:
    measuring.warm_up()
