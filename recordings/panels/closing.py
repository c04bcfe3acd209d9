"""A panel's end."""

from django.db import transaction

from recordings.models import Panel
from recordings.panels.seating import draft_seats
from recordings.panels.sounds import let_go


@transaction.atomic
def close_panel(panel: Panel) -> bool:
    """Close it, delete the copies of the sounds, draft the seats; False where it was closed before."""
    if not panel.close():
        return False
    let_go(panel)
    draft_seats(panel)
    return True
