"""Choosing the take to send: the teacher and the director any, the student one of the own full takes."""

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from recordings.models import Take, TakeToSend
from studio.access import may_teach
from studio.models import Entry, Requirement, User


def may_choose(user: User, entry: Entry) -> bool:
    return may_teach(user, entry.student) or entry.student.user_id == user.pk


def why_not_chosen(take: Take, user: User) -> str:
    """The sentence saying why this person cannot choose this take; empty where they can."""
    if may_teach(user, take.entry.student):
        return ""
    analysis = getattr(take, "analysis", None)
    if analysis is None or not analysis.complete:
        return _("Please choose a take in which all bars were heard; your teacher can choose any.")
    return ""


@transaction.atomic
def choose(entry: Entry, requirements: list[Requirement], take: Take, by: User) -> None:
    for requirement in requirements:
        TakeToSend.objects.update_or_create(
            entry=entry,
            requirement=requirement,
            defaults={"take": take, "chosen_by": by, "chosen_at": timezone.now()},
        )


def back_to_default(entry: Entry, requirements: list[Requirement]) -> None:
    TakeToSend.objects.filter(entry=entry, requirement__in=requirements).delete()
