"""The forms that ask for the second factor: each guess is counted before it is judged."""

from allauth.core import context
from allauth.mfa.adapter import get_adapter
from allauth.mfa.base import forms
from allauth.mfa.totp import forms as totp

from studio.services.limits import FACTOR, is_first_use, take_turn


class AuthenticateForm(forms.AuthenticateForm):
    def clean_code(self) -> str:
        with take_turn(FACTOR, context.request, self.user.email):
            return _used_once(self.user.email, super().clean_code())


class ReauthenticateForm(forms.ReauthenticateForm):
    def clean_code(self) -> str:
        with take_turn(FACTOR, context.request, self.user.email):
            return _used_once(self.user.email, super().clean_code())


class ActivateTOTPForm(totp.ActivateTOTPForm):
    def clean_code(self) -> str:
        with take_turn(FACTOR, context.request, self.user.email):
            return super().clean_code()


def _used_once(person: str, code: str) -> str:
    """A right code opens once: allauth notes a used one in the cache, which two at once can both pass."""
    if not is_first_use(person, code):
        raise get_adapter().validation_error("incorrect_code")
    return code
