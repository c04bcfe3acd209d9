from typing import ClassVar

from allauth.account.adapter import DefaultAccountAdapter
from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext_lazy as _


class InvitedOnlyAdapter(DefaultAccountAdapter):
    """Accounts come from invitations; there is no open sign-up."""

    error_messages: ClassVar[dict] = {
        **DefaultAccountAdapter.error_messages,
        "email_password_mismatch": _("This address and password do not go together."),
        "incorrect_code": _("This is not the code, or it has run out."),
        "incorrect_password": _("This is not your password."),
        "too_many_login_attempts": _("That was tried many times. Please wait a few minutes."),
        "rate_limited": _("That was tried many times. Please wait a few minutes."),
    }

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        return False

    def get_reset_password_from_key_url(self, key: str) -> str:
        # Built from the configured address, never from the Host header of whoever asked.
        uid, _, rest = key.partition("-")
        path = reverse("account_reset_password_from_key", kwargs={"uidb36": uid, "key": rest})
        return settings.SITE_ADDRESS + path
