import logging
from smtplib import SMTPException

from django.conf import settings
from django.core.mail import send_mail
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

logger = logging.getLogger(__name__)


class MailNotSent(Exception):
    """The mail server did not take the mail; the cause is in the log."""


def where_mail_lies() -> str:
    """A sentence for the director where mail goes to a folder; empty with a mail server."""
    if settings.EMAIL_HOST:
        return ""
    return _("No mail server is set up, so the mail lies as a file in the folder “mail” of the data folder.")


def send_from_template(name: str, *, to: str, context: dict) -> None:
    """Send studio/mail/<name>.subject.txt and .txt; raises MailNotSent."""
    subject = render_to_string(f"studio/mail/{name}.subject.txt", context)
    body = render_to_string(f"studio/mail/{name}.txt", context)
    try:
        send_mail(" ".join(subject.split()), body, None, [to])
    except (SMTPException, OSError) as error:
        # The exception's text can name the address, so only its kind is logged.
        logger.error("Mail %s was not sent: %s", name, type(error).__name__)
        raise MailNotSent from error
