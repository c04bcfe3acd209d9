"""The one way into a take for the person who answers it."""

from django.core.exceptions import PermissionDenied

from recordings.access import take_or_404
from recordings.models import Take
from studio.access import may_teach


def take_to_answer(user, pk: int) -> Take:
    """The take for its own teacher or a director; 404 for strangers, 403 for student and guardians."""
    take = take_or_404(user, pk)
    if not may_teach(user, take.entry.student):
        raise PermissionDenied
    return take
