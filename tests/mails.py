"""Mail as the workers send it: `delivered()` lets them go through all that waits."""

from django.core import mail

from studio.services.mail_delivery import sweep


def delivered() -> list:
    """Every mail that has gone out so far in this test, the latest last."""
    while sweep():
        pass
    return mail.outbox
