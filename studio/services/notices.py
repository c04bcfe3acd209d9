"""Mail that something has come: it says where, never what, since marks and words stay behind signing in."""

import logging
from datetime import datetime

from celery import current_app
from django.conf import settings
from django.db import transaction
from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils import timezone, translation
from kombu.exceptions import OperationalError

from studio.models import Notice, Student, Studio, User
from studio.services.mail import MailNotSent, send_from_template

log = logging.getLogger(__name__)

NOTIFY_TASK = "studio.notify"


def tell(kind: Notice.Kind, student_id: int, *, about: str, path: str) -> None:
    """Have the workers mail those concerned once all is stored; a broker that is away fails no page."""
    at = timezone.now().isoformat()
    transaction.on_commit(lambda: _send([kind.value, student_id, about, path, at]), robust=True)


def _send(args: list) -> None:
    try:
        current_app.send_task(NOTIFY_TASK, args=args)
    except (OperationalError, OSError):
        log.warning("No notice could be sent of %s.", args[2])


def mail_those_concerned(kind: str, student_id: int, about: str, path: str, at: datetime) -> int:
    """Mail each of them who wants it and was not told yet; how many. Raises MailNotSent after the last."""
    student = Student.objects.filter(pk=student_id).first()
    if student is None:
        return 0
    return mail_matters(kind, student, abouts=[about], path=path, at=at)


def mail_matters(
    kind: str, student: Student, *, abouts: list[str], path: str, at: datetime, words: dict | None = None
) -> int:
    """One mail to each for all of `abouts` they were not told yet; how many. Raises as above."""
    sent, failed = 0, None
    for user in concerned(student, kind):
        claimed = Notice.objects.claim(user=user, student=student, kind=kind, abouts=abouts, at=at)
        if not claimed:
            continue
        context = {**_words_of(user, kind, path), "count": len(claimed), **(words or {})}
        try:
            with translation.override(user.language or settings.LANGUAGE_CODE):
                send_from_template("notice", to=user.email, context=context)
            sent += 1
        except MailNotSent as trouble:
            Notice.objects.filter(pk__in=claimed).delete()
            failed = trouble
    if failed:
        raise failed
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
