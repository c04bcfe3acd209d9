from django.db import IntegrityError, transaction
from django.template.loader import render_to_string

from studio.models import Consent, Season, Student, Studio, User


def consent_wording(student: Student) -> str:
    """The words a guardian agrees to, as they stand today; paragraphs are separated by empty lines."""
    seasons = Season.objects.filter(auditions__entries__student=student).distinct()
    context = {"student": student, "studio": Studio.current(), "seasons": list(seasons)}
    text = render_to_string("studio/consent_wording.txt", context)
    paragraphs = (" ".join(part.split()) for part in text.split("\n\n"))
    return "\n\n".join(part for part in paragraphs if part)


def give_consent(student: Student, guardian: User) -> bool:
    """Record the agreement with its wording; False where one already stands."""
    try:
        with transaction.atomic():
            Consent.objects.create(student=student, given_by=guardian, wording=consent_wording(student))
    except IntegrityError:
        return False
    return True
