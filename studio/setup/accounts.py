from datetime import timedelta
from typing import ClassVar

from allauth.account import app_settings
from allauth.account.adapter import DefaultAccountAdapter
from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from studio.models import User
from studio.services.account_changes import tell_of_change
from studio.services.limits import PASSWORD, TOO_MANY, take_turn
from studio.services.mail import send_later

LOGIN_CODE = "account/email/login_code"


class InvitedOnlyAdapter(DefaultAccountAdapter):
    """Accounts come from invitations; there is no open sign-up."""

    error_messages: ClassVar[dict] = {
        **DefaultAccountAdapter.error_messages,
        "email_password_mismatch": _("This address and password do not go together."),
        "incorrect_code": _("This is not the code, or it has run out."),
        "incorrect_password": _("This is not your password."),
        "too_many_login_attempts": TOO_MANY,
        "rate_limited": TOO_MANY,
    }

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        return False

    def authenticate(self, request: HttpRequest, **credentials) -> User | None:
        """The person with this password; a try that may not be judged is a ValidationError."""
        person = request.user.email if request.user.is_authenticated else credentials.get("email", "")
        turn = take_turn(PASSWORD, request, person)
        user = super().authenticate(request, **credentials)
        if user:
            turn.give_back()
        return user

    def pre_authenticate(self, request: HttpRequest, **credentials) -> None:
        """Counted above already."""

    def send_mail(self, template_prefix: str, email: str, context: dict) -> None:
        """Through the queue; a code that has run out is not sent, and one for nobody goes to nobody."""
        mail = self.render_mail(template_prefix, email, {"request": self.request, "email": email, **context})
        if template_prefix != LOGIN_CODE:
            send_later(email, mail.subject, mail.body)
            return
        user = User.objects.with_address(email)
        to = email if user and user.is_active else ""
        send_later(to, mail.subject, mail.body, within=timedelta(seconds=app_settings.LOGIN_BY_CODE_TIMEOUT))

    def send_notification_mail(self, template_prefix: str, user: User, *_more, **_else) -> None:
        """A changed password or second factor is told to its person, whoever changed it."""
        tell_of_change(template_prefix, user)

    def get_client_ip(self, request: HttpRequest) -> str:
        """The address limits are counted by. Who names fewer than the proxies would came past them."""
        try:
            return super().get_client_ip(request)
        except ImproperlyConfigured:
            return request.META["REMOTE_ADDR"]

    def get_login_stages(self) -> list[str]:
        theirs, ours = "allauth.account.stages.LoginByCodeStage", "studio.setup.sign_in.LoginByCode"
        return [ours if stage == theirs else stage for stage in super().get_login_stages()]

    def get_reset_password_from_key_url(self, key: str) -> str:
        # Built from the configured address, never from the Host header of whoever asked.
        uid, _, rest = key.partition("-")
        path = reverse("account_reset_password_from_key", kwargs={"uidb36": uid, "key": rest})
        return settings.SITE_ADDRESS + path
