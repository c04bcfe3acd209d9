"""When a rest is worth more than another take."""

from collections.abc import Sequence
from datetime import datetime

from recordings.models import Take
from recordings.takes.sittings import LONGEST_PAUSE, sittings

# Common practice, no published source: the first takes of a practice time are often the best.
REST_AFTER_TAKES = 4


def rest_after(takes: Sequence[Take], *, at: datetime) -> int | None:
    """How many takes were recorded in the practice time that still runs; None where none or few were."""
    if not takes:
        return None
    latest = sittings(takes)[0].takes
    tired = len(latest) >= REST_AFTER_TAKES and at - latest[0].uploaded_at <= LONGEST_PAUSE
    return len(latest) if tired else None
