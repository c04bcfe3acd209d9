"""Mails to a person who is deleted: what waits is not sent, what lies as a file goes."""

import email
import email.policy
import logging
from email.message import EmailMessage
from pathlib import Path
from typing import cast

from django.conf import settings

from studio.models import OutgoingMail
from studio.setup.sealing import Unsealable

log = logging.getLogger(__name__)

# What Django's file backend writes between two mails of one file.
BETWEEN = b"-" * 79


def forget_mails(addresses: set[str], *, names: set[str]) -> None:
    """Mails to one of `addresses`, and files of mails that say one of `names`; case makes no difference."""
    wanted = {each.lower() for each in addresses}
    for mail in OutgoingMail.objects.waiting():
        try:
            to, subject, body = mail.unseal()
        except Unsealable:
            continue
        if to.lower() in wanted or any(name in f"{subject}\n{body}" for name in names):
            mail.end(OutgoingMail.State.WITHDRAWN)
    for path in Path(settings.EMAIL_FILE_PATH).glob("*.log"):
        _clean(path, wanted, names)


def _clean(path: Path, addresses: set[str], names: set[str]) -> None:
    """Rewrite the file without the mails in question; a file without any left goes."""
    mails = [part.strip(b"\n") for part in path.read_bytes().split(BETWEEN) if part.strip()]
    kept = [mail for mail in mails if not _concerns(mail, addresses, names)]
    if len(kept) == len(mails):
        return
    log.info("%s mails that lay as files were deleted.", len(mails) - len(kept))
    if kept:
        path.write_bytes(b"".join(mail + b"\n" + BETWEEN + b"\n" for mail in kept))
    else:
        path.unlink()


def _concerns(raw: bytes, addresses: set[str], names: set[str]) -> bool:
    mail = cast(EmailMessage, email.message_from_bytes(raw, policy=email.policy.default))
    body = mail.get_body()
    said = "\n".join([str(mail["To"]), str(mail["Subject"]), body.get_content() if body else ""])
    lowered = said.lower()
    return any(each in lowered for each in addresses) or any(name in said for name in names)
