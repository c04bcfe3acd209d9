"""What a teacher says at a bar, for everyone who plays the music."""

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repertoire.models.excerpt import Excerpt
from repertoire.notation.order.forms import printed_range
from repertoire.notation.score import BadScore, Score
from repertoire.wording.words import words
from repertoire.words import bar_words


def check_bars(score: Score, first: str, last: str) -> None:
    """Raise ValidationError, on the field it belongs to, for bars that are not printed in this order."""
    for field, label in (("from_bar", first), ("to_bar", last)):
        try:
            printed_range(score, label, label)
        except BadScore as error:
            raise ValidationError({field: words(error.sentence)}) from error
    try:
        printed_range(score, first, last)
    except BadScore as error:
        raise ValidationError({"to_bar": words(error.sentence)}) from error


class BarNoteQuerySet(models.QuerySet["BarNote"]):
    def in_print_order(self, score: Score) -> "list[BarNote]":
        """By the bar they begin at; notes whose bar a corrected score no longer has come last."""
        return sorted(self, key=lambda note: (score.place_of(note.from_bar), note.created_at, note.pk))


class BarNote(models.Model):
    """Bars are named by their printed labels, so a corrected score keeps its notes."""

    class Kind(models.TextChoices):
        FINGERING = "fingering", _("Fingering")
        BOWING = "bowing", _("Bowing")
        BREATHING = "breathing", _("Breathing")
        PHRASING = "phrasing", _("Phrasing")
        PRACTICE = "practice", _("Practice")
        CAUTION = "caution", _("Caution")

    excerpt = models.ForeignKey(Excerpt, on_delete=models.CASCADE, related_name="bar_notes")
    kind = models.CharField(_("kind"), max_length=10, choices=Kind.choices, default=Kind.PRACTICE)
    from_bar = models.CharField(_("from bar"), max_length=10)
    to_bar = models.CharField(_("to bar"), max_length=10, blank=True)
    note_id = models.CharField(_("one note"), max_length=40, blank=True)
    text = models.TextField(_("what to know"), max_length=2000)
    author = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="bar_notes",
        editable=False,
    )
    created_at = models.DateTimeField(default=timezone.now, editable=False)
    edited_at = models.DateTimeField(null=True, blank=True, editable=False)

    objects = BarNoteQuerySet.as_manager()

    class Meta:
        ordering = ["excerpt", "created_at", "pk"]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, {self.bars_text}"

    def clean(self) -> None:
        self.from_bar = self.from_bar.strip()
        self.to_bar = self.to_bar.strip() or self.from_bar
        if self.from_bar:
            check_bars(self.excerpt.score, self.from_bar, self.to_bar)
        if self.note_id:
            self._check_note()

    def _check_note(self) -> None:
        score = self.excerpt.score
        low, high = printed_range(score, self.from_bar, self.to_bar)
        bar = next((n.measure_index for n in score.notes if self.note_id in (n.note_id, *n.tied_ids)), None)
        if bar is None or not low <= bar <= high:
            raise ValidationError({"note_id": _("This note is not in these bars.")})

    @property
    def bars_text(self) -> str:
        return bar_words(self.from_bar, self.to_bar or self.from_bar)

    def mark_edited(self) -> None:
        self.edited_at = timezone.now()
