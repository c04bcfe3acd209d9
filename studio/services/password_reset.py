"""A new password by mail: the page stores the wish, the workers look up whether anybody has that address."""

from datetime import timedelta

from allauth.account import app_settings
from allauth.account.adapter import get_adapter
from allauth.account.utils import user_pk_to_url_str
from django.template.loader import render_to_string
from django.utils import translation

from studio.models import OutgoingMail, User
from studio.services.mail import send_later

# Who asked sits before the page; after an hour they have asked again. A choice.
WITHIN = timedelta(hours=1)


def ask_for_reset(email: str) -> None:
    send_later(email, "", "", kind=OutgoingMail.Kind.RESET, within=WITHIN)


def write_reset_mail(email: str, *, language: str) -> None:
    """A mail with the link for whoever has this address and may sign in; none where nobody has."""
    user = User.objects.with_address(email)
    if user is None or not user.is_active:
        return
    context = {"password_reset_url": _link(user)}
    with translation.override(language):
        subject = render_to_string("account/email/password_reset_key_subject.txt", context)
        body = render_to_string("account/email/password_reset_key_message.txt", context)
        send_later(email, subject, body.strip(), within=WITHIN)


def _link(user: User) -> str:
    token = app_settings.PASSWORD_RESET_TOKEN_GENERATOR().make_token(user)
    return get_adapter().get_reset_password_from_key_url(f"{user_pk_to_url_str(user)}-{token}")
