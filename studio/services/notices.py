"""Mail that something has come: it says where, never what, since marks and words stay behind signing in."""

from datetime import datetime

from django.conf import settings
from django.db import transaction
from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils import timezone, translation

from studio.models import Notice, Student, Studio, User
from studio.services.mail import send_from_template


def tell(kind: Notice.Kind, student: Student, *, about: str, path: str) -> None:
    """Have those concerned mailed: the rows come with what is told, or not at all."""
    mail_matters(kind, student, abouts=[about], path=path, at=timezone.now())


@transaction.atomic
def mail_matters(
    kind: str, student: Student, *, abouts: list[str], path: str, at: datetime, words: dict | None = None
) -> int:
    """One mail to each who wants it, for all of `abouts` they were not told yet; how many."""
    sent = 0
    for user in concerned(student, kind):
        claimed = Notice.objects.claim(user=user, student=student, kind=kind, abouts=abouts, at=at)
        if not claimed:
            continue
        context = {**_words_of(user, kind, path), "count": len(claimed), **(words or {})}
        with translation.override(context["studio"].language_for(user)):
            send_from_template("notice", to=user.email, context=context)
        sent += 1
    return sent


def concerned(student: Student, kind: str) -> list[User]:
    """The student and the guardians, as far as they have accounts and have not switched this kind off."""
    theirs = Q(students=student)
    if kind != Notice.Kind.TAKE:
        theirs |= Q(guardianships__student=student)
    people: QuerySet[User] = User.objects.filter(theirs, is_active=True).distinct().order_by("pk")
    return [user for user in people if kind not in user.notices_off]


def _words_of(user: User, kind: str, path: str) -> dict:
    return {
        "user": user,
        "kind": kind,
        "studio": Studio.current(),
        "address": f"{settings.SITE_ADDRESS}{path}",
        "account": f"{settings.SITE_ADDRESS}{reverse('account')}",
    }
