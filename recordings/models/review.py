"""The teacher's answer to a take: marks by caption, remarks by bar; a draft until released."""

import re

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from recordings.models.take import Take
from recordings.words import bars_in_words
from repertoire.models import Caption, Rubric, Total

_NAMES_BARS = re.compile(r"\bbars?\b", re.IGNORECASE)


class Review(models.Model):
    class State(models.TextChoices):
        DRAFT = "draft", _("draft")
        RELEASED = "released", _("released")
        WITHDRAWN = "withdrawn", _("withdrawn")

    take = models.OneToOneField(Take, on_delete=models.CASCADE, related_name="review")
    state = models.CharField(max_length=10, choices=State.choices, default=State.DRAFT)
    reviewer = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="reviews"
    )
    words = models.TextField(_("in your own words"), blank=True)
    # Counts saves, so that two open windows cannot silently overwrite each other.
    edition = models.PositiveIntegerField(default=0)
    # The window that saved last: a save whose answer got lost on the way may be sent again by it.
    window = models.CharField(max_length=36, blank=True, editable=False)
    created_at = models.DateTimeField(default=timezone.now)
    saved_at = models.DateTimeField(null=True, blank=True)
    released_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at", "-pk"]

    def __str__(self) -> str:
        return f"review {self.pk}"

    @property
    def is_released(self) -> bool:
        return self.state == self.State.RELEASED

    @property
    def rubric(self) -> Rubric:
        return self.rubric_by(list(self.marks.select_related("caption__rubric")))

    def rubric_by(self, marks: "list[Mark]") -> Rubric:
        """The version it is marked with; while it has no mark, and is not released, the current one."""
        given = [mark for mark in marks if self.is_released or mark.value is not None]
        return given[0].caption.rubric if given else self.take.requirement.rubric

    @property
    def shown_total(self) -> Total | None:
        """The weighted total, where the director lets students see it."""
        rubric = self.rubric
        if not rubric.total_shown:
            return None
        return rubric.total({mark.caption_id: mark.value for mark in self.marks.all()})

    @property
    def unmarked_captions(self) -> list[str]:
        return [mark.caption.name for mark in self.marks.all() if mark.value is None]

    @property
    def shown_remarks(self) -> list["Remark"]:
        """The remarks the student gets to see: kept by the teacher, and not left blank."""
        return [remark for remark in self.remarks.all() if remark.kept and remark.text.strip()]


class Mark(models.Model):
    """One caption's mark; the suggested range is the draft's, the value the teacher's."""

    review = models.ForeignKey(Review, on_delete=models.CASCADE, related_name="marks")
    caption = models.ForeignKey(Caption, on_delete=models.PROTECT, related_name="marks")
    value = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    suggested_low = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    suggested_high = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    evidence = models.TextField(blank=True)

    class Meta:
        ordering = ["caption__position", "caption_id"]
        constraints = [models.UniqueConstraint(fields=["review", "caption"], name="one_mark_per_caption")]

    def __str__(self) -> str:
        return f"mark {self.pk}"


class Remark(models.Model):
    """One remark tied to bars and to a time in the take, drafted from a finding or written by the teacher."""

    review = models.ForeignKey(Review, on_delete=models.CASCADE, related_name="remarks")
    position = models.PositiveSmallIntegerField(default=0)
    bars = models.CharField(max_length=60, blank=True)
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


class ReviewEvent(models.Model):
    """What happened to a review, with the state it was in; never changed afterwards."""

    class Kind(models.TextChoices):
        DRAFTED = "drafted", _("drafted from the measurement")
        RELEASED = "released", _("released")
        WITHDRAWN = "withdrawn", _("withdrawn")

    review = models.ForeignKey(Review, on_delete=models.CASCADE, related_name="events")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    snapshot = models.JSONField(default=dict)

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"event {self.pk}"
