"""A panel's end."""

from django.db import transaction

from recordings.models import Panel
from recordings.panels.guests import end_guests
from recordings.panels.seating import draft_seats
from recordings.panels.sounds import let_go
from studio.models import Event
from studio.services.events import record


@transaction.atomic
def close_panel(panel: Panel) -> bool:
    """Close it with the guests' accounts and the sounds' copies, draft the seats; False if closed before."""
    if not panel.close():
        return False
    let_go(panel)
    end_guests(panel)
    draft_seats(panel)
    record(Event.Kind.PANEL_CLOSED, panel)
    return True
