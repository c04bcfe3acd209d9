"""What is written into the record of events, and who did it."""

from contextvars import ContextVar
from datetime import datetime, time, timedelta

from django.contrib.auth.signals import user_logged_in, user_login_failed
from django.db import models
from django.db.models.signals import post_delete, post_save
from django.dispatch import receiver
from django.http import HttpRequest
from django.utils import timezone

from studio.models import (
    Consent,
    DeletionRequest,
    Event,
    Guardianship,
    Invitation,
    Role,
    RoleGrant,
    Season,
    SendingRules,
    Studio,
    User,
)
from studio.models.event import THINGS, EventQuerySet

Kind = Event.Kind
STAFF = (Role.DIRECTOR, Role.TEACHER)
# Of this thread; workers and commands have none.
request_at_work: ContextVar[HttpRequest | None] = ContextVar("request_at_work", default=None)


def record(kind: str, about: models.Model | None = None, *, by: int | None = None) -> None:
    """In the transaction of what it tells; `by` whom is known from the request where it is not given."""
    word = about._meta.model_name or "" if about is not None else ""
    if word and word not in THINGS:
        raise KeyError(word)  # a row nobody could read
    number = about.pk if about is not None else None
    Event.objects.create(kind=kind, by_number=by or _who(), about=word, about_number=number)


def _who() -> int | None:
    request = request_at_work.get()
    user = getattr(request, "user", None)
    return user.pk if user is not None and user.is_authenticated else None


def asked_for(asked) -> EventQuerySet:
    """The events of `kind`, `by` an account's number, `since` and `until` days of the studio's zone."""
    events = Event.objects.all()
    if asked.get("kind"):
        events = events.filter(kind=asked["kind"])
    if asked.get("by"):
        events = events.filter(by_number=asked["by"].pk)
    if asked.get("since"):
        events = events.filter(at__gte=_begin_of(asked["since"]))
    if asked.get("until"):
        events = events.filter(at__lt=_begin_of(asked["until"] + timedelta(days=1)))
    return events


def _begin_of(day) -> datetime:
    return timezone.make_aware(datetime.combine(day, time.min))


def as_rows(events) -> list[list[str]]:
    head = ["number", "at", "kind", "by", "about", "about_number"]
    fields = ("pk", "at", "kind", "by_number", "about", "about_number")
    rows = events.order_by("pk").values_list(*fields).iterator()
    return [head, *([_cell(value) for value in row] for row in rows)]


def _cell(value) -> str:
    return "" if value is None else value.isoformat() if isinstance(value, datetime) else str(value)


@receiver(user_logged_in, dispatch_uid="studio.event")
def _signed_in(user: User, **_more) -> None:
    if user.is_staff:
        record(Kind.SIGNED_IN, user, by=user.pk)


@receiver(user_login_failed, dispatch_uid="studio.event")
def _failed(credentials: dict, **_more) -> None:
    """One look-up and one row for every address: whether somebody has it cannot be timed."""
    address = str(credentials.get("email") or "").lower()
    staff = User.objects.filter(email=address, roles__role__in=STAFF).only("pk").first()
    record(Kind.SIGN_IN_FAILED, staff)


@receiver(post_save, sender=RoleGrant, dispatch_uid="studio.event")
def _granted(instance: RoleGrant, created: bool, **_more) -> None:
    if created:
        record(Kind.ROLE_GIVEN, instance.user)


@receiver(post_delete, sender=RoleGrant, dispatch_uid="studio.event")
def _role_ended(instance: RoleGrant, **_more) -> None:
    record(Kind.ROLE_ENDED, instance.user)


@receiver(post_delete, sender=Guardianship, dispatch_uid="studio.event")
def _guardianship_ended(instance: Guardianship, **_more) -> None:
    record(Kind.GUARDIANSHIP_ENDED, instance.student)


@receiver(post_save, sender=Invitation, dispatch_uid="studio.event")
def _invited(instance: Invitation, created: bool, update_fields, **_more) -> None:
    if created:
        record(Kind.INVITED, instance)
    elif "withdrawn_at" in (update_fields or ()):
        record(Kind.INVITATION_WITHDRAWN, instance)


@receiver(post_save, sender=Consent, dispatch_uid="studio.event")
def _agreed(instance: Consent, created: bool, update_fields, **_more) -> None:
    if created:
        record(Kind.CONSENT_GIVEN, instance.student)
    elif "withdrawn_at" in (update_fields or ()):
        record(Kind.CONSENT_WITHDRAWN, instance.student)


@receiver(post_save, sender=Studio, dispatch_uid="studio.event.studio")
@receiver(post_save, sender=Season, dispatch_uid="studio.event.season")
def _settings(instance: models.Model, **_more) -> None:
    record(Kind.SETTINGS, instance)


@receiver(post_save, sender=SendingRules, dispatch_uid="studio.event.rules")
def _rules(instance: SendingRules, **_more) -> None:
    record(Kind.SETTINGS, instance.audition)


@receiver(post_save, sender=DeletionRequest, dispatch_uid="studio.event.deletion")
def _deletion(instance: DeletionRequest, created: bool, **_more) -> None:
    record(Kind.DELETION_ASKED if created else Kind.DELETION_CLOSED, instance.student)
