"""How an address becomes a person who signs in: by the same look-ups, whether anybody has it or not."""

from allauth.account.auth_backends import AuthenticationBackend
from allauth.account.stages import LoginByCodeStage
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest

from studio.models import User


class OneLookUp(AuthenticationBackend):
    """allauth looks once more where an address is not confirmed or not known, which can be timed."""

    def authenticate(self, request: HttpRequest | None, **credentials) -> User:
        user = super().authenticate(request, **credentials)
        if user is None:
            # Ends the search: a second backend would only hash the password once more.
            raise PermissionDenied
        return user

    def _authenticate_by_email(self, email: str, password: str) -> User | None:
        return self._check_password(User.objects.with_address(email), password)


class LoginByCode(LoginByCodeStage):
    """Whose code it is stands with the sign-in alone: asked for by number, nobody costs one look more."""

    def __init__(self, controller, request: HttpRequest, login) -> None:
        super().__init__(controller, request, login)
        self.state.pop("user_id", None)
