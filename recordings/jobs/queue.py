"""The queue of takes to be measured: put in, announced to the workers, and looked after by the sweep.

The row is the job and a message only says that it is there, so a message that is lost, comes twice or
bears a name no longer known costs a delay, never a take. Messages are sent by the task's name: what puts
a take in the queue need not know how it is measured.
"""

from django.db import transaction
from django.db.models.functions import Now
from django.utils import timezone

from recordings.jobs.failures import TOO_MANY_ATTEMPTS
from recordings.models import Analysis
from studio.setup.messages import tell_workers

MEASURE_TASK = "recordings.measure"


def request_measuring(analysis: Analysis) -> None:
    """Tell the workers of a waiting row as soon as it is committed."""
    transaction.on_commit(lambda: send(analysis.pk))


def send(analysis_id: int) -> None:
    """Send the id and nothing else; a broker that is away is no loss, since the sweep sends again."""
    tell_workers(MEASURE_TASK, analysis_id)


@transaction.atomic
def measure_again(analysis: Analysis, *, at_desk: bool = False) -> bool:
    """Put an ended analysis back in the queue; False where it is queued or running already."""
    started = analysis.start_again(at_desk=at_desk)
    if started:
        request_measuring(analysis)
    return started


def sweep() -> list[int]:
    """Send again for stalled analyses, whose ids are returned; those tried too often end with a sentence."""
    for analysis in Analysis.objects.out_of_attempts().defer("result"):
        analysis.mark_failed(TOO_MANY_ATTEMPTS())
    due = list(Analysis.objects.stalled().values_list("pk", flat=True))
    Analysis.objects.filter(pk__in=due, state=Analysis.State.WAITING).update(heartbeat_at=Now())
    for analysis_id in due:
        send(analysis_id)
    return due


def oldest_waiting_s() -> float | None:
    """Seconds since the oldest analysis still waiting was put in the queue; None with none waiting."""
    waiting = Analysis.objects.filter(state=Analysis.State.WAITING).order_by("created_at")
    created_at = waiting.values_list("created_at", flat=True).first()
    return None if created_at is None else round((timezone.now() - created_at).total_seconds(), 1)
