"""A person's dates for the calendar of a phone, behind an address that opens with its secret alone."""

import hashlib
import secrets

from django.db import models
from django.utils import timezone
from django.utils.translation import get_language

from studio.models.user import User


class CalendarFeedQuerySet(models.QuerySet["CalendarFeed"]):
    def for_secret(self, secret: str) -> "CalendarFeedQuerySet":
        """Nothing for a secret that was renewed or ended, or whose person has no open account."""
        return self.filter(secret_hash=CalendarFeed.hash_of(secret), user__is_active=True)


class CalendarFeed(models.Model):
    """One address a person; only its secret's hash is kept, so it can be made anew but not shown again."""

    user = models.OneToOneField(User, on_delete=models.CASCADE, related_name="calendar_feed")
    secret_hash = models.CharField(max_length=64, unique=True)
    # Of the page it was made on: a calendar that asks sends no language of its own.
    language = models.CharField(max_length=10, blank=True)
    made_at = models.DateTimeField(default=timezone.now)

    objects = CalendarFeedQuerySet.as_manager()

    def __str__(self) -> str:
        return f"calendar feed {self.pk}"

    @staticmethod
    def hash_of(secret: str) -> str:
        return hashlib.sha256(secret.encode()).hexdigest()

    @classmethod
    def renew(cls, user: User) -> str:
        """A new secret in place of any earlier one, which opens nothing from now on."""
        secret = secrets.token_urlsafe(32)
        fresh = {
            "secret_hash": cls.hash_of(secret),
            "language": get_language() or "",
            "made_at": timezone.now(),
        }
        cls.objects.update_or_create(user=user, defaults=fresh)
        return secret

    @property
    def spoken(self) -> str:
        return self.user.language or self.language
