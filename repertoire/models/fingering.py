"""The fingering of one excerpt: what the teacher asked of the plan, the notes locked, and what is shown."""

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.utils.translation import gettext_lazy as _

from repertoire.models.bar_note import BarNote
from repertoire.models.excerpt import Excerpt
from repertoire.notation.positions.boards import FINGERBOARDS, tuned
from repertoire.notation.positions.hand import Fingerboard
from repertoire.notation.positions.plan import Lock, Options
from repertoire.notation.score import BadScore
from repertoire.wording.words import words


class Fingering(models.Model):
    """Locks and shown fingerings name notes by id, so they hold for the music whose hash is kept beside."""

    excerpt = models.OneToOneField(Excerpt, on_delete=models.CASCADE, related_name="fingering")
    open_strings = models.BooleanField(_("use open strings"), default=True)
    highest = models.PositiveSmallIntegerField(_("highest position"), null=True, blank=True)
    tuning = models.CharField(
        _("tuning"),
        max_length=40,
        blank=True,
        help_text=_(
            "Only if it differs: four to six sounding notes, the lowest string first, like E1 A1 D2 G2."
        ),
    )
    locks = models.JSONField(default=dict, blank=True, editable=False)
    shown = models.JSONField(default=dict, blank=True, editable=False)
    content_hash = models.CharField(max_length=64, editable=False)
    bar_notes = models.ManyToManyField(BarNote, blank=True, editable=False)
    author = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+", editable=False
    )
    music_changed = False  # set by `of` until it is saved again
    changed_at = models.DateTimeField(auto_now=True)

    def __str__(self) -> str:
        return f"{self._meta.verbose_name} {self.excerpt_id}"

    @classmethod
    def of(cls, excerpt: Excerpt) -> "Fingering":
        """The kept one, or a new one not saved yet; locks and what is shown go when the music changes."""
        kept = cls.objects.filter(excerpt=excerpt).first() or cls(excerpt=excerpt)
        if kept.content_hash != excerpt.content_hash:
            kept.music_changed = bool(kept.pk)
            kept.locks, kept.shown, kept.content_hash = {}, {}, excerpt.content_hash
        return kept

    def clean(self) -> None:
        self.tuning = " ".join(self.tuning.split())
        if self.tuning:
            try:
                tuned(FINGERBOARDS[self.excerpt.instrument], self.tuning)
            except BadScore as error:
                raise ValidationError({"tuning": words(error.sentence)}) from error

    @property
    def board(self) -> Fingerboard:
        usual = FINGERBOARDS[self.excerpt.instrument]
        return tuned(usual, self.tuning) if self.tuning else usual

    @property
    def options(self) -> Options:
        return Options(open_strings=self.open_strings, highest=self.highest)

    @property
    def locked(self) -> dict[str, Lock]:
        return {note_id: Lock(*choice) for note_id, choice in self.locks.items()}

    def lock(self, note_id: str, *, finger: int | None, string: int | None) -> None:
        self.locks.pop(note_id, None)
        if finger is not None or string is not None:
            self.locks[note_id] = [finger, string]


def shown_fingerings(excerpt: Excerpt) -> dict[str, str]:
    """What every reader of this music sees at its notes; nothing once the music has been corrected."""
    kept = getattr(excerpt, "fingering", None)
    return kept.shown if kept is not None and kept.content_hash == excerpt.content_hash else {}
