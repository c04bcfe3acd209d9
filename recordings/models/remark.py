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
    def spans(self) -> list[list[float]]:
        """[start, end] in seconds of every stretch of the take it speaks of, each to be heard by itself.

        Those of its finding, unless a teacher has moved the remark to other bars.
        """
        return spans_of(self.finding, self.start_s, self.end_s)

    @property
    def is_as_drafted(self) -> bool:
        """Drafted from a finding and untouched since."""
        return self.finding is not None and self.kept and self.text == self.finding["text"]


def spans_of(finding: dict | None, start_s: float | None, end_s: float | None) -> list[list[float]]:
    """Every stretch a remark speaks of, from its finding where it still begins and ends as drafted."""
    if start_s is None:
        return []
    places = (finding or {}).get("places") or []
    end_s = start_s if end_s is None else end_s
    if finding and places and _same(finding["start_s"], start_s) and _same(finding["end_s"], end_s):
        return [[place["start_s"], place["end_s"]] for place in places]
    return [[round(start_s, 3), round(end_s, 3)]]


def _same(drafted_s: float | None, now_s: float) -> bool:
    """To the millisecond that a form carries."""
    return drafted_s is not None and abs(drafted_s - now_s) < 0.002
