"""What the workers do with a waiting mail: send it, try again after a pause, or give it up.

A worker killed between the server's yes and the row's end sends a mail twice, five minutes apart; the other
order would lose it.
"""

import logging
from smtplib import SMTPDataError, SMTPException, SMTPNotSupportedError, SMTPRecipientsRefused

from django.core.mail import send_mail

from studio.models import OutgoingMail
from studio.services.password_reset import write_reset_mail

log = logging.getLogger(__name__)

State, Trouble = OutgoingMail.State, OutgoingMail.Trouble
# A worker is kept from its takes no longer than this many mails take; the next sweep goes on.
AT_ONCE = 50
# What the server says of a mail or a recipient with 500 and above it will say again.
FOR_GOOD = 500


def deliver(mail_id: int) -> bool:
    """Send this mail unless another does; True where it needs no further try."""
    mail = OutgoingMail.objects.claim(mail_id)
    if mail is None:
        return False
    try:
        was_taken = _send(mail)
    except (SMTPException, OSError, ValueError) as error:
        return _not_taken(mail, error)
    mail.end(State.SENT)
    if was_taken:
        OutgoingMail.objects.try_all_now()
    return True


def deliver_new(mail_id: int) -> None:
    """As above, unless the mail server is known to be away: then one worker asking for it is enough."""
    if not OutgoingMail.objects.waiting().filter(trouble=Trouble.SERVER).exists():
        deliver(mail_id)


def sweep() -> int:
    """Send what is due, up to the first mail the server does not take; how many are done with."""
    OutgoingMail.objects.end_late()
    OutgoingMail.objects.forget_old()
    count = 0
    for mail_id in OutgoingMail.objects.due().order_by("next_try_at").values_list("pk", flat=True)[:AT_ONCE]:
        if deliver(mail_id):
            count += 1
        elif OutgoingMail.objects.waiting().filter(pk=mail_id, trouble=Trouble.SERVER).exists():
            break
    return count


def _send(mail: OutgoingMail) -> bool:
    """Whether the mail server took it: a mail to nobody, or one still to be written, never gets there."""
    to, subject, body = mail.unseal()
    if mail.kind == OutgoingMail.Kind.RESET:
        write_reset_mail(to, language=mail.language)
        return False
    if to:
        send_mail(subject, body, None, [to])
    return bool(to)


def _not_taken(mail: OutgoingMail, error: Exception) -> bool:
    # The exception's text can name the address, so only its kind is logged.
    log.error("Mail %s was not sent: %s", mail.pk, type(error).__name__)
    trouble = _trouble_of(error)
    if trouble is None:
        mail.end(State.REFUSED)
    else:
        mail.try_again(trouble)
    return trouble is None


def _trouble_of(error: Exception) -> str | None:
    """Whose trouble it is; None where trying again is of no use."""
    if isinstance(error, SMTPRecipientsRefused):
        codes = [code for code, _words in error.recipients.values()]
        return None if all(code >= FOR_GOOD for code in codes) else Trouble.RECIPIENT
    if isinstance(error, SMTPDataError):
        return None if error.smtp_code >= FOR_GOOD else Trouble.RECIPIENT
    if isinstance(error, SMTPNotSupportedError | ValueError):
        return None
    return Trouble.SERVER
