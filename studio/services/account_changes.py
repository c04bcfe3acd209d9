"""Mail to a person whose password or second factor was changed, by them or by somebody else."""

from django.conf import settings
from django.urls import reverse
from django.utils import timezone, translation

from studio.models import Studio, User
from studio.services.mail import send_from_template

# By the name allauth gives the mail it would send.
CHANGES = {
    "account/email/password_changed": "password",
    "account/email/password_set": "password",
    "account/email/password_reset": "password",
    "mfa/email/totp_activated": "factor on",
    "mfa/email/totp_deactivated": "factor off",
    "mfa/email/recovery_codes_generated": "codes",
}


def tell_of_change(name: str, user: User) -> None:
    """`name` is one of CHANGES; of other changes there is nothing to tell here."""
    if name not in CHANGES:
        return
    studio = Studio.current()
    context = {
        "user": user,
        "studio": studio,
        "change": CHANGES[name],
        "at": timezone.now(),
        "reset": settings.SITE_ADDRESS + reverse("account_reset_password"),
    }
    with translation.override(studio.language_for(user)):
        send_from_template("account_change", to=user.email, context=context)
