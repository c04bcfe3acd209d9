from django.utils import timezone

from recordings.models import Analysis


def oldest_waiting_s() -> float | None:
    """Seconds since the oldest analysis still waiting was put in the queue; None with none waiting."""
    waiting = Analysis.objects.filter(state=Analysis.State.WAITING).order_by("created_at")
    created_at = waiting.values_list("created_at", flat=True).first()
    return None if created_at is None else round((timezone.now() - created_at).total_seconds(), 1)
