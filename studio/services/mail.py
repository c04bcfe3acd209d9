"""Mail is written into a row and sent by the workers: no page waits for the mail server or fails with it."""

from datetime import timedelta

from django.conf import settings
from django.db import transaction
from django.template.loader import render_to_string
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from studio.models import Invitation, OutgoingMail
from studio.models.database_clock import from_now
from studio.models.outgoing_mail import GIVEN_UP_AFTER
from studio.setup.messages import tell_workers

SEND_TASK = "studio.send_mail"


def where_mail_lies() -> str:
    """A sentence for the director where mail goes to a folder; empty with a mail server."""
    if settings.EMAIL_HOST:
        return ""
    return _("No mail server is set up, so the mail lies as a file in the folder “mail” of the data folder.")


@transaction.atomic
def send_later(
    to: str,
    subject: str,
    body: str,
    *,
    within: timedelta = GIVEN_UP_AFTER,
    invitation: Invitation | None = None,
    kind: str = OutgoingMail.Kind.LETTER,
) -> OutgoingMail:
    """Have the workers send it as soon as all is stored, and not at all once `within` is over.

    A mail to nobody (`to` is empty) is stored and looked at like any other, then let go.
    """
    mail = OutgoingMail(
        kind=kind, invitation=invitation, language=get_language() or "", send_until=from_now(within)
    )
    mail.seal(to=to, subject=" ".join(subject.split()), body=body)
    mail.save()
    transaction.on_commit(lambda: _announce(mail.pk), robust=True)
    return mail


def _announce(mail_id: int) -> None:
    """A message that gets lost costs half a minute: the sweep looks for what is due."""
    tell_workers(SEND_TASK, mail_id)


def send_from_template(name: str, *, to: str, context: dict, **how) -> OutgoingMail:
    """Send studio/mail/<name>.subject.txt and .txt later, `how` as `send_later` takes it."""
    subject = render_to_string(f"studio/mail/{name}.subject.txt", context)
    body = render_to_string(f"studio/mail/{name}.txt", context)
    return send_later(to, subject, body, **how)
