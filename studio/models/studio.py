"""The studio itself: its name, its time zone, how long it keeps takes."""

from typing import TYPE_CHECKING

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

if TYPE_CHECKING:
    from studio.models.user import User


class Studio(models.Model):
    """The one studio this installation serves."""

    name = models.CharField(_("name"), max_length=120)
    time_zone = models.CharField(_("time zone"), max_length=60)
    ready_percent = models.PositiveSmallIntegerField(
        _("ready from, in percent of each top mark"),
        default=70,
        validators=[MinValueValidator(1), MaxValueValidator(100)],
        help_text=_(
            "A take counts as ready when every caption is marked at this share of its top mark or above."
        ),
    )
    language = models.CharField(_("language of mails"), max_length=10, blank=True)
    keep_all_at_once = models.BooleanField(
        _("teachers may keep all drafted remarks at once"),
        default=False,
        help_text=_("Otherwise each remark is kept by itself, so that none goes out unread."),
    )
    tuning_a_hz = models.DecimalField(
        _("the studio's A, in Hz"),
        max_digits=4,
        decimal_places=1,
        default=440,
        validators=[MinValueValidator(392), MaxValueValidator(466)],
        help_text=_(
            "Practice tones, the drone and the tuning note keep to it; takes are measured at their own."
        ),
    )
    backups_kept_days = models.PositiveSmallIntegerField(
        _("backups are kept for, in days"),
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(3650)],
        help_text=_(
            "What is deleted here lives on in backups for so long; families are told. "
            "The program cannot see it: your computer's own timer makes and removes them."
        ),
    )
    second_factor_required = models.BooleanField(
        _("directors and teachers must use a second factor"),
        default=False,
        help_text=_("Whoever has none yet sets it up at the next page they open, before anything else."),
    )
    # The studio's own words on privacy, by its director; empty while the program's draft stands.
    privacy_text = models.TextField(blank=True, max_length=20_000)
    privacy_saved_at = models.DateTimeField(null=True, editable=False)
    practice_days = models.PositiveSmallIntegerField(
        _("days practice takes are kept"),
        default=30,
        validators=[MinValueValidator(1), MaxValueValidator(180)],
        help_text=_(
            "What students record and do not hand in, on their devices and when reading at sight, goes by "
            "itself after so many days."
        ),
    )
    invented = models.BooleanField(default=False)

    def __str__(self) -> str:
        return self.name

    def say_privacy(self, text: str) -> None:
        """The director's own words, or with none the program's draft again."""
        self.privacy_text, self.privacy_saved_at = text, timezone.now()
        self.save()

    def language_for(self, user: "User") -> str:
        """What `user` chose to read, or what this studio writes in, or the language of now."""
        return user.language or self.language or get_language() or settings.LANGUAGE_CODE

    @classmethod
    def current(cls) -> "Studio":
        return cls.objects.first() or cls(name=str(_("Our studio")), time_zone=settings.STUDIO_TIME_ZONE)
