"""What a view behind a sign-in may count on, for the type checker and the reader."""

from django.http import HttpRequest

from studio.models import User


class SignedInRequest(HttpRequest):
    """A request whose person is known: `login_required` and `role_required` let no other through."""

    user: User
