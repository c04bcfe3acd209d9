"""Mail to a person for whose account many wrong passwords came."""

from django.conf import settings
from django.urls import reverse
from django.utils import timezone, translation

from studio.models import Studio, User
from studio.services.mail import send_from_template


def tell_of_wrong_passwords(email: str) -> None:
    """The same is done for an address nobody has, but its mail goes to nobody."""
    user = User.objects.with_address(email)
    is_theirs = user is not None and user.is_active
    reader = user if user and is_theirs else User.nobody()
    studio = Studio.current()
    context = {
        "user": reader,
        "studio": studio,
        "at": timezone.now(),
        "reset": settings.SITE_ADDRESS + reverse("account_reset_password"),
    }
    with translation.override(studio.language_for(reader)):
        send_from_template("wrong_passwords", to=reader.email, context=context)
