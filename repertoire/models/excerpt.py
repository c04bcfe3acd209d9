"""Excerpts with their stored canonical MusicXML."""

import hashlib
from collections.abc import Sequence
from functools import lru_cache

from django.core.validators import MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from repertoire.models.common import InstrumentField, is_held
from repertoire.notation.instruments import INSTRUMENTS, Instrument
from repertoire.notation.order.forms import play
from repertoire.notation.read.reading import load_canonical
from repertoire.notation.score import Form, Score
from repertoire.wording.words import short_number


@lru_cache(maxsize=32)
def _score_of(musicxml: str) -> Score:
    return load_canonical(musicxml)


class ExcerptQuerySet(models.QuerySet["Excerpt"]):
    def for_lists(self) -> "ExcerptQuerySet":
        """Without the score itself, which lists do not show and which is by far the largest column."""
        return self.defer("musicxml", "scale_spec", "order_question")

    def filtered(self, *, instrument: str = "", kind: str = "") -> "ExcerptQuerySet":
        wanted = {"instrument": instrument, "kind": kind}
        return self.filter(**{field: value for field, value in wanted.items() if value})


class Excerpt(models.Model):
    """Printed music: an etude, a passage or a scale sheet."""

    class Kind(models.TextChoices):
        ETUDE = "etude", _("Etude or passage")
        SCALE = "scale", _("Scale sheet")

    class BeatUnit(models.TextChoices):
        HALF = "2.0", _("half note")
        DOTTED_QUARTER = "1.5", _("dotted quarter note")
        QUARTER = "1.0", _("quarter note")
        EIGHTH = "0.5", _("eighth note")

    class Temperament(models.TextChoices):
        EQUAL = "equal", _("equal")
        JUST = "just", _("just, on the tonic")
        PYTHAGOREAN = "pythagorean", _("Pythagorean")

    title = models.CharField(_("title"), max_length=160)
    composer = models.CharField(_("composer"), max_length=120, blank=True)
    source = models.CharField(_("source"), max_length=200, blank=True)
    instrument = InstrumentField(_("instrument"))
    kind = models.CharField(max_length=10, choices=Kind.choices, default=Kind.ETUDE)
    musicxml = models.TextField()
    content_hash = models.CharField(max_length=64, editable=False)
    scale_spec = models.JSONField(null=True, blank=True)
    marked_bpm = models.DecimalField(
        _("marked tempo"), max_digits=5, decimal_places=1, validators=[MinValueValidator(10)]
    )
    beat_unit = models.CharField(
        _("beat unit"), max_length=4, choices=BeatUnit.choices, default=BeatUnit.QUARTER
    )
    temperament = models.CharField(
        _("temperament"), max_length=12, choices=Temperament.choices, default=Temperament.EQUAL
    )
    bar_count = models.PositiveIntegerField(editable=False)
    order_text = models.TextField(_("order of play"), editable=False)
    order_question = models.JSONField(null=True, blank=True, editable=False)  # a sentence
    order_confirmed = models.BooleanField(_("the order of play is right"), default=False)
    added_at = models.DateTimeField(auto_now_add=True)

    objects = ExcerptQuerySet.as_manager()

    class Meta:
        ordering = ["instrument", "title", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["instrument", "title", "content_hash"], name="same_music_kept_once"
            )
        ]

    def __str__(self) -> str:
        return self.title

    def save(self, *args, **kwargs) -> None:
        self.content_hash = self.hash_of(self.musicxml)
        super().save(*args, **kwargs)

    @staticmethod
    def hash_of(musicxml: str) -> str:
        return hashlib.sha256(musicxml.encode()).hexdigest()

    @property
    def is_in_use(self) -> bool:
        """Whether it is set for an audition."""
        return is_held(self)

    def confirm_order(self) -> None:
        self.order_confirmed = True
        self.save(update_fields=["order_confirmed"])

    @property
    def score(self) -> Score:
        return _score_of(self.musicxml)

    def form(
        self,
        *,
        with_repeats: bool = True,
        bars: tuple[str, str] | None = None,
        order: Sequence[int] | None = None,
    ) -> Form:
        return play(self.score, with_repeats=with_repeats, bars=bars, order=order)

    @property
    def tempo_text(self) -> str:
        """The marked tempo with its beat unit in words: "quarter note = 96"."""
        return f"{self.get_beat_unit_display()} = {short_number(self.marked_bpm)}"

    @property
    def beat_unit_q(self) -> float:
        return float(self.beat_unit)

    @property
    def instrument_facts(self) -> Instrument:
        return INSTRUMENTS[self.instrument]
