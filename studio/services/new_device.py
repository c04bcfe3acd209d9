"""Mail to staff who were signed in on a device nobody has used for them before."""

from datetime import timedelta

from django.conf import settings
from django.urls import reverse
from django.utils import timezone, translation

from studio.models import Studio, User
from studio.services.mail import send_from_template

# Whoever has just taken up an invitation knows.
JUST_JOINED = timedelta(hours=1)


def tell_of_new_device(user: User, device: str) -> None:
    """`device` is browser and system, empty where it does not say; of families nothing is told."""
    if not user.is_staff or timezone.now() - user.joined_at < JUST_JOINED:
        return
    studio = Studio.current()
    context = {
        "user": user,
        "studio": studio,
        "at": timezone.now(),
        "device": device,
        "sign_ins": settings.SITE_ADDRESS + reverse("sign_ins"),
    }
    with translation.override(studio.language_for(user)):
        send_from_template("new_device", to=user.email, context=context)
