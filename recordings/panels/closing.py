"""A panel's end."""

from django.db import transaction

from recordings.models import Panel
from recordings.panels.sounds import let_go


@transaction.atomic
def close_panel(panel: Panel) -> bool:
    """Close it and delete the copies of the sounds; False where it was closed before."""
    if not panel.close():
        return False
    let_go(panel)
    return True
