from time import time

from django.test import Client

from studio.models import User


def note_sign_in(client: Client, user: User, *, method: str = "password") -> None:
    """What signing in by the page notes: how its person has shown who they are, just now."""
    session = client.session
    session["account_authentication_methods"] = [{"method": method, "at": time()}]
    session["account_authentication_methods_user"] = str(user.pk)
    session.save()
