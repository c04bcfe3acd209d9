"""One remark tied to bars and to a time in the take, drafted from a finding or written by the teacher."""

import re

from django.db import models

from recordings.models.review import Review
from repertoire.words import bars_in_words

LONGEST_BARS = 60  # characters
_NAMES_BARS = re.compile(r"\bbars?\b", re.IGNORECASE)


class Remark(models.Model):
    review = models.ForeignKey(Review, on_delete=models.CASCADE, related_name="remarks")
    position = models.PositiveSmallIntegerField(default=0)
    bars = models.CharField(max_length=LONGEST_BARS, blank=True)
    start_s = models.FloatField(null=True, blank=True)
    end_s = models.FloatField(null=True, blank=True)
    text = models.TextField()
    kept = models.BooleanField(default=True)
    finding = models.JSONField(null=True, blank=True)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return f"remark {self.pk}"

    @property
    def place(self) -> str:
        """The bars in words, or nothing where there are none or the text names them itself."""
        return "" if _NAMES_BARS.search(self.text) else bars_in_words(self.bars)

    @property
    def is_as_drafted(self) -> bool:
        """Drafted from a finding and untouched since."""
        return self.finding is not None and self.kept and self.text == self.finding["text"]
