"""A mock audition: takes of one audition heard blind by several listeners, and the seats after it."""

import secrets

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from recordings.models.take import Take
from repertoire.models import RandomNameFileField, Rubric
from studio.models import Audition, Consent, Entry


class PanelQuerySet(models.QuerySet["Panel"]):
    def visible_to(self, user) -> "PanelQuerySet":
        """Directors see every panel, listeners those they were asked to while they teach or are guests."""
        if user.is_director:
            return self
        return self.filter(listeners__user=user) if user.is_teacher or user.is_guest else self.none()

    def open(self) -> "PanelQuerySet":
        return self.filter(closed_at=None)


class Panel(models.Model):
    """Until it is closed nobody is told which take is whose, the director neither."""

    audition = models.ForeignKey(Audition, on_delete=models.CASCADE, related_name="panels")
    # Both empty: all who are entered.
    instrument = models.CharField(max_length=30, blank=True)
    level = models.CharField(max_length=40, blank=True)
    name = models.CharField(_("name"), max_length=120)
    rubric = models.ForeignKey(
        Rubric, on_delete=models.PROTECT, related_name="panels", verbose_name=_("marking form")
    )
    measurements_shown = models.BooleanField(
        _("listeners see what was measured"),
        default=False,
        help_text=_("Off, so that every listener trusts the ear alone."),
    )
    # Codes and orders come from it, so that they can be made again and told by nobody beforehand.
    seed = models.CharField(max_length=64, default=secrets.token_hex, editable=False)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="panels_made"
    )
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    closed_at = models.DateTimeField(null=True, editable=False)

    objects = PanelQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return self.name

    @property
    def is_open(self) -> bool:
        return self.closed_at is None

    def close(self) -> bool:
        """Once and for good; False where it was closed before."""
        now = timezone.now()
        closed = bool(Panel.objects.open().filter(pk=self.pk).update(closed_at=now))
        if closed:
            self.closed_at = now
        return closed


class PanelTakeQuerySet(models.QuerySet["PanelTake"]):
    def hearable(self) -> "PanelTakeQuerySet":
        """Without those of minors whose guardian has not agreed to panels, or took it back since."""
        agreed = Consent.objects.standing_for_panels().filter(student=models.OuterRef("take__entry__student"))
        return self.filter(models.Q(take__entry__student__is_minor=False) | models.Exists(agreed))

    def waiting(self) -> "PanelTakeQuerySet":
        return self.filter(sound_state=PanelTake.SoundState.WAITING, panel__closed_at=None)


class PanelTake(models.Model):
    """One take under its code, with a copy of its sound that tells nothing but the playing."""

    class SoundState(models.TextChoices):
        WAITING = "waiting", _("being made ready")
        READY = "ready", _("ready")
        FAILED = "failed", _("cannot be made ready")

    panel = models.ForeignKey(Panel, on_delete=models.CASCADE, related_name="takes")
    take = models.ForeignKey(Take, on_delete=models.CASCADE, related_name="panel_takes")
    code = models.CharField(max_length=8)
    sound = RandomNameFileField(upload_to="panels/%Y/%m/", blank=True)
    size = models.BigIntegerField(default=0)
    sound_state = models.CharField(
        max_length=10, choices=SoundState.choices, default=SoundState.WAITING, editable=False
    )
    attempts = models.PositiveSmallIntegerField(default=0)
    # When a worker last took it up; it is sent for again once that is long ago.
    begun_at = models.DateTimeField(null=True, editable=False)

    # When the director put the listeners' remarks into the draft of the answer.
    handed_on_at = models.DateTimeField(null=True, editable=False)

    objects = PanelTakeQuerySet.as_manager()

    class Meta:
        ordering = ["code"]
        constraints = [
            models.UniqueConstraint(fields=["panel", "code"], name="one_take_per_code"),
            models.UniqueConstraint(fields=["panel", "take"], name="one_code_per_take"),
        ]

    def __str__(self) -> str:
        return f"panel take {self.pk}"

    @property
    def is_ready(self) -> bool:
        return self.sound_state == self.SoundState.READY

    @property
    def has_failed(self) -> bool:
        return self.sound_state == self.SoundState.FAILED


class Seat(models.Model):
    """One entry's place in the seating order, drafted from the ranks and changed by the director."""

    panel = models.ForeignKey(Panel, on_delete=models.CASCADE, related_name="seats")
    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="seats")
    position = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["entry__instrument", "entry__level", "position", "pk"]
        constraints = [models.UniqueConstraint(fields=["panel", "entry"], name="one_seat_per_entry")]

    def __str__(self) -> str:
        return f"seat {self.pk}"
