from allauth.account.adapter import DefaultAccountAdapter
from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse


class InvitedOnlyAdapter(DefaultAccountAdapter):
    """Accounts come from invitations; there is no open sign-up."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        return False

    def get_reset_password_from_key_url(self, key: str) -> str:
        # Built from the configured address, never from the Host header of whoever asked.
        uid, _, rest = key.partition("-")
        path = reverse("account_reset_password_from_key", kwargs={"uidb36": uid, "key": rest})
        return settings.SITE_ADDRESS + path
