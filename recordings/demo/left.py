"""Somebody who left before: only the receipt of the deletion is there."""

from datetime import timedelta

from django.utils import timezone

from recordings.models import Erasure
from studio.models import User

AGO = timedelta(days=40)
LEFT = {"takes": 6, "entries": 1, "questions": 2, "agreements": 1, "uploads": 0, "accounts": 2}


def load_left(director: User) -> None:
    at = timezone.now() - AGO
    # A number no student of the demo has.
    Erasure.objects.create(
        student_number=1000, by_number=director.pk, erased_at=at, finished_at=at, counts=LEFT
    )
