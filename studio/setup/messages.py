"""Telling the workers that something waits: the row is the job, a message only says that it is there."""

import logging

from celery import current_app
from kombu.exceptions import OperationalError

log = logging.getLogger(__name__)


def tell_workers(task: str, *numbers: int) -> bool:
    """Send a task's name and the row's number; False where the broker is away, which a sweep makes good."""
    try:
        current_app.send_task(task, args=list(numbers))
    except (OperationalError, OSError):
        log.warning("No message could be sent for %s %s; it is sent again later.", task, numbers)
        return False
    return True
