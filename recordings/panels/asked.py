"""Mail to who is asked to listen in a panel: where it is and how many takes, nothing about who plays."""

from django.conf import settings
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import translation

from recordings.models import PanelListener
from studio.models import Studio
from studio.services.mail import send_later


def tell_listener(listener: PanelListener) -> None:
    """Once all is dealt; nobody is told of a panel they set up themselves."""
    user, panel = listener.user, listener.panel
    if user is None or user.pk == panel.made_by_id:
        return
    studio = Studio.current()
    context = {
        "user": user,
        "studio": studio,
        "panel": panel,
        "count": listener.sheets.count(),
        "address": f"{settings.SITE_ADDRESS}{reverse('panel_listen', args=[panel.pk])}",
    }
    with translation.override(studio.language_for(user)):
        subject = render_to_string("recordings/mail/panel.subject.txt", context)
        send_later(user.email, subject, render_to_string("recordings/mail/panel.txt", context))
