"""How often something was tried, counted before it is judged, so that a burst finds no gap.

A row is one kind of try by one key. Keys are hashed by whoever counts: a row names nobody.
"""

from datetime import timedelta

from django.db import models
from django.db.models.functions import Now

from studio.models.database_clock import from_now

# Longer than any limit rests.
KEPT_FOR = timedelta(days=3)


class TriesQuerySet(models.QuerySet["Tries"]):
    def take(self, *, kind: str, key: str, allowed: int, rest: timedelta) -> bool:
        """Count one more and say whether it may be judged: never more than `allowed` without a `rest`.

        The rest begins with the last one that was judged. One order to the database decides, by its own
        clock: tries of the same moment stand in line there, whichever web server they reached.
        """
        Tries.objects.bulk_create([Tries(kind=kind, key=key)], ignore_conflicts=True)
        is_rested = models.Q(last_at__lte=from_now(-rest))
        one_more = models.Case(models.When(is_rested, then=models.Value(1)), default=models.F("number") + 1)
        free = self.filter(is_rested | models.Q(number__lt=allowed), kind=kind, key=key)
        return free.update(number=one_more, last_at=Now()) == 1

    def give_back(self, *, kind: str, key: str) -> None:
        """What turned out to be right, or was not judged after all, does not count."""
        self.filter(kind=kind, key=key, number__gt=0).update(number=models.F("number") - 1)

    def forget_old(self) -> None:
        self.filter(last_at__lt=from_now(-KEPT_FOR)).delete()


class Tries(models.Model):
    kind = models.CharField(max_length=30)
    key = models.CharField(max_length=64)
    number = models.PositiveIntegerField(default=0)
    last_at = models.DateTimeField(db_default=Now(), db_index=True)

    objects = TriesQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["kind", "key"], name="one_row_of_tries")]

    def __str__(self) -> str:
        return f"tries {self.pk}"
