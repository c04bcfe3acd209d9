"""The entrance's forms: what they do, and for how long, is the same for every address."""

from allauth.account import forms
from allauth.account.adapter import get_adapter
from allauth.core import context, ratelimit
from django.http import HttpRequest

from studio.models import User
from studio.services.password_reset import ask_for_reset


class RequestLoginCodeForm(forms.RequestLoginCodeForm):
    """Where nobody has the address, an account that never was goes the same way to the end."""

    def clean_email(self) -> str:
        email = self.cleaned_data["email"]
        user = User.objects.with_address(email)
        if not ratelimit.consume(context.request, action="request_login_code", key=email.lower()):
            raise get_adapter().validation_error("too_many_login_attempts")
        self._user = user if user and user.is_active else User.nobody()
        return email


class ResetPasswordForm(forms.ResetPasswordForm):
    def clean_email(self) -> str:
        return get_adapter().clean_email(self.cleaned_data["email"].lower())

    def save(self, request: HttpRequest, **_kwargs) -> str:
        ask_for_reset(self.cleaned_data["email"])
        return self.cleaned_data["email"]
