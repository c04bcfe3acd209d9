"""Telling the workers of files to be made: the row is the job, the message only says that it is there."""

import logging

from celery import current_app
from kombu.exceptions import OperationalError

from recordings.models.file_job import MOST_ATTEMPTS, SILENT_AFTER, FileJob
from studio.models.database_clock import from_now

log = logging.getLogger(__name__)


def send(task: str, pk: int) -> None:
    try:
        current_app.send_task(task, args=[pk])
    except (OperationalError, OSError):
        log.warning("No message could be sent for %s %s; the sweep will send it again.", task, pk)


def sweep(kind: type[FileJob], task: str) -> list[int]:
    """Send again for those whose message or worker was lost."""
    unfinished = kind._base_manager.filter(state__in=[kind.State.WAITING, kind.State.RUNNING])
    stalled = unfinished.filter(heartbeat_at__lt=from_now(-SILENT_AFTER))
    stalled.filter(attempts__gte=MOST_ATTEMPTS).update(state=kind.State.FAILED)
    due = list(stalled.filter(attempts__lt=MOST_ATTEMPTS).values_list("pk", flat=True))
    for pk in due:
        send(task, pk)
    return due
