"""One remark tied to bars and to a time in the take, drafted from a finding or written by the teacher."""

import re

from django.db import models
from django.utils.translation import gettext_lazy as _

from recordings.models.review import Review
from repertoire.wording.words import words
from repertoire.words import bars_in_words

LONGEST_BARS = 60  # characters
_NAMES_BARS = re.compile(r"\b(bars?|takte?n?)\b", re.IGNORECASE)  # a language each


class Remark(models.Model):
    class Verdict(models.TextChoices):
        """What the teacher says of it; only what is kept reaches the student."""

        PROPOSED = "proposed", _("not looked at")
        KEPT = "kept", _("keep")
        DROPPED = "dropped", _("leave out")
        WRONG = "wrong", _("this is wrong")

    class Wrong(models.TextChoices):
        """Why the measuring was wrong, in one tap."""

        NOTE_WAS_RIGHT = "note_was_right", _("the note was right")
        BARS_MISPLACED = "bars_misplaced", _("the bars are misplaced")
        OTHER_FORM = "other_form", _("another form was played")
        STYLE = "style", _("it is style")
        WRONG_PIECE = "wrong_piece", _("it is another piece")

    review = models.ForeignKey(Review, on_delete=models.CASCADE, related_name="remarks")
    position = models.PositiveSmallIntegerField(default=0)
    bars = models.CharField(max_length=LONGEST_BARS, blank=True)
    start_s = models.FloatField(null=True, blank=True)
    end_s = models.FloatField(null=True, blank=True)
    # What the teacher wrote, also nothing at all; None while the drafted words stand.
    own_text = models.TextField(null=True, blank=True)  # noqa: DJ001
    verdict = models.CharField(max_length=10, choices=Verdict.choices, default=Verdict.PROPOSED)
    wrong_reason = models.CharField(max_length=20, choices=Wrong.choices, blank=True)
    finding = models.JSONField(null=True, blank=True)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return f"remark {self.pk}"

    @property
    def text(self) -> str:
        """What it says: the teacher's words as they were written, the drafted ones in the language of now."""
        return words(self.stored_text)

    @property
    def stored_text(self) -> str | dict:
        """The teacher's words, or the drafted sentence as it is stored."""
        return self._drafted if self.own_text is None else self.own_text

    def say(self, text: str) -> None:
        """Take these words, which are the teacher's own unless they are the drafted ones."""
        self.own_text = None if self.finding is not None and text == words(self._drafted) else text

    @property
    def _drafted(self) -> str | dict:
        return (self.finding or {}).get("text", "")

    @property
    def kept(self) -> bool:
        return self.verdict == self.Verdict.KEPT

    @property
    def is_strength(self) -> bool:
        """Drafted from something that was good."""
        return bool((self.finding or {}).get("strength"))

    @property
    def is_reworded(self) -> bool:
        """Kept in other words than it was drafted in."""
        return self.kept and self.finding is not None and self.own_text is not None

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
        """Drafted from a finding and not looked at since."""
        untouched = self.verdict == self.Verdict.PROPOSED
        return self.finding is not None and untouched and self.own_text is None


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
