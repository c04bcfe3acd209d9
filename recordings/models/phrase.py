"""Words a teacher says again and again: one's own, or the studio's for all who teach there."""

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

LONGEST_PHRASE = 600  # characters


class PhraseQuerySet(models.QuerySet["Phrase"]):
    def visible_to(self, user) -> "PhraseQuerySet":
        """One's own and the studio's."""
        return self.filter(models.Q(owner=user) | models.Q(owner=None))


class Phrase(models.Model):
    class Topic(models.TextChoices):
        """What kind of finding it answers, in the order and words of the page of verdicts."""

        FORM = "form", _("What was played, and in which order")
        NOTES = "notes", _("Wrong and missing notes")
        INTONATION = "intonation", _("Intonation")
        TEMPO = "tempo", _("Tempo")
        RHYTHM = "rhythm", _("Rhythm")
        DYNAMICS = "dynamics", _("Dynamics and articulation")
        PRAISE = "praise", _("What is good")
        ANY = "any", _("Anything")

    # None: the studio's.
    owner = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.CASCADE, related_name="phrases"
    )
    topic = models.CharField(_("about"), max_length=12, choices=Topic.choices, default=Topic.ANY)
    text = models.TextField(_("words"), max_length=LONGEST_PHRASE)

    objects = PhraseQuerySet.as_manager()

    class Meta:
        ordering = ["topic", "text", "pk"]

    def __str__(self) -> str:
        return f"phrase {self.pk}"

    def is_kept_by(self, user) -> bool:
        """Whether this person may change it: its owner, and for the studio's a director."""
        return user.is_director if self.owner_id is None else self.owner_id == user.pk
