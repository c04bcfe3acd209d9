"""Who may open what of a panel: strangers get 404, the known but not allowed 403.

A guest's account is closed with the panel; should it still be open, the closed panel shows it nothing.
"""

from django.core.exceptions import PermissionDenied
from django.shortcuts import get_object_or_404

from recordings.models import Panel, PanelListener, PanelSheet
from studio.models import User


def panel_or_404(user: User, pk: int) -> Panel:
    visible = Panel.objects.visible_to(user).select_related("audition", "rubric")
    return get_object_or_404(visible, pk=pk)


def panel_to_lead(user: User, pk: int) -> Panel:
    """For directors; 403 for the panel's other listeners."""
    panel = panel_or_404(user, pk)
    if not user.is_director:
        raise PermissionDenied
    return panel


def listener_of(user: User, panel: Panel) -> PanelListener:
    """This person as a listener; 403 for a director who is none."""
    listener = panel.listeners.filter(user=user).first()
    if listener is None:
        raise PermissionDenied
    return listener


def sheet_or_404(user: User, pk: int, code: str) -> tuple[Panel, PanelSheet]:
    """One of the listener's own sheets; 404 also where its take may no longer be heard."""
    panel = panel_or_404(user, pk)
    sheets = PanelSheet.objects.hearable().filter(listener=listener_of(user, panel))
    return panel, get_object_or_404(sheets.with_marks(), panel_take__code=code)
