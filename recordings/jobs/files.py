"""Looking after files to be made: the row is the job, the message only says that it is there."""

from recordings.models.file_job import MOST_ATTEMPTS, SILENT_AFTER, FileJob
from studio.models.database_clock import from_now
from studio.setup.messages import tell_workers


def sweep(kind: type[FileJob], task: str) -> list[int]:
    """Send again for those whose message or worker was lost."""
    unfinished = kind._base_manager.filter(state__in=[kind.State.WAITING, kind.State.RUNNING])
    stalled = unfinished.filter(heartbeat_at__lt=from_now(-SILENT_AFTER))
    stalled.filter(attempts__gte=MOST_ATTEMPTS).update(state=kind.State.FAILED)
    due = list(stalled.filter(attempts__lt=MOST_ATTEMPTS).values_list("pk", flat=True))
    for pk in due:
        tell_workers(task, pk)
    return due
