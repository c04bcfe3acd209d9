"""The entrance's forms: what they do, and for how long, is the same for every address.

Each guess is counted before it is judged (`studio.services.limits`).
"""

from allauth.account import forms
from allauth.account.adapter import get_adapter
from allauth.core import context
from django.core.exceptions import ValidationError
from django.http import HttpRequest

from studio.models import User
from studio.services.limits import ASK_CODE, ASK_RESET, CODE, PASSWORD, take_turn
from studio.services.password_reset import ask_for_reset


class LoginForm(forms.LoginForm):
    """Counted by the adapter, which also judges; a refusal stands beside the password."""

    def clean(self) -> dict:
        try:
            return super().clean()
        except ValidationError as error:
            self.add_error("password", error)
            return self.cleaned_data


class RequestLoginCodeForm(forms.RequestLoginCodeForm):
    """Where nobody has the address, an account that never was goes the same way to the end."""

    def clean_email(self) -> str:
        email = self.cleaned_data["email"]
        user = User.objects.with_address(email)
        take_turn(ASK_CODE, context.request, email)
        self._user = user if user and user.is_active else User.nobody()
        return email


class ConfirmLoginCodeForm(forms.ConfirmLoginCodeForm):
    def clean_code(self) -> str:
        state = vars(context.request)["_login_stage"].state
        # The moment it was asked for tells one code of a person from the next.
        with take_turn(CODE, context.request, state["email"], code=str(state["at"])):
            return super().clean_code()


class ResetPasswordForm(forms.ResetPasswordForm):
    def clean_email(self) -> str:
        email = get_adapter().clean_email(self.cleaned_data["email"].lower())
        take_turn(ASK_RESET, context.request, email)
        return email

    def save(self, request: HttpRequest, **_kwargs) -> str:
        ask_for_reset(self.cleaned_data["email"])
        return self.cleaned_data["email"]


class ChangePasswordForm(forms.ChangePasswordForm):
    def clean_oldpassword(self) -> str:
        with take_turn(PASSWORD, context.request, self.user.email):
            return super().clean_oldpassword()
