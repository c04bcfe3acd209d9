"""What browsers say they refused to run or show on our pages: counted by day, without who and where from."""

from datetime import timedelta

from django.db import models
from django.db.models import F
from django.utils import timezone

# Choices: enough to see a fault of ours or an attack, too little to fill a disk with.
MOST_ROWS_A_DAY, MOST_A_DAY = 50, 1000
KEPT_FOR = timedelta(days=30)
COUNTED_FOR = timedelta(days=7)


class BlockedContentQuerySet(models.QuerySet["BlockedContent"]):
    def count_one(self, *, directive: str, what: str, page: str) -> None:
        """One more of its kind today; beyond the limits of a day nothing is written."""
        today = self.filter(day=timezone.localdate())
        same = today.filter(directive=directive, what=what, page=page, number__lt=MOST_A_DAY)
        if same.update(number=F("number") + 1) or today.count() >= MOST_ROWS_A_DAY:
            return
        fresh = BlockedContent(directive=directive, what=what, page=page, day=timezone.localdate(), number=1)
        BlockedContent.objects.bulk_create([fresh], ignore_conflicts=True)

    def lately(self) -> int:
        """How many in the last days."""
        since = timezone.localdate() - COUNTED_FOR
        return self.filter(day__gt=since).aggregate(sum=models.Sum("number"))["sum"] or 0

    def forget_old(self) -> None:
        self.filter(day__lt=timezone.localdate() - KEPT_FOR).delete()


class BlockedContent(models.Model):
    day = models.DateField()
    # Of the policy, "style-src"; what was blocked in a word, "inline"; the name of the page's address.
    directive = models.CharField(max_length=40)
    what = models.CharField(max_length=20)
    page = models.CharField(max_length=60, blank=True)
    number = models.PositiveIntegerField(default=0)

    objects = BlockedContentQuerySet.as_manager()

    class Meta:
        ordering = ["-day", "-number", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["day", "directive", "what", "page"], name="one_row_of_blocked")
        ]
        verbose_name_plural = "blocked content"

    def __str__(self) -> str:
        return f"blocked content {self.pk}"
