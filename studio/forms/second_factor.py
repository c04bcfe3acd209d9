"""The forms that ask for the second factor: each guess is counted before it is judged."""

from allauth.core import context
from allauth.mfa.base import forms
from allauth.mfa.totp import forms as totp

from studio.services.limits import FACTOR, take_turn


class AuthenticateForm(forms.AuthenticateForm):
    def clean_code(self) -> str:
        with take_turn(FACTOR, context.request, self.user.email):
            return super().clean_code()


class ReauthenticateForm(forms.ReauthenticateForm):
    def clean_code(self) -> str:
        with take_turn(FACTOR, context.request, self.user.email):
            return super().clean_code()


class ActivateTOTPForm(totp.ActivateTOTPForm):
    def clean_code(self) -> str:
        with take_turn(FACTOR, context.request, self.user.email):
            return super().clean_code()
