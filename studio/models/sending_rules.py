"""What the outside body of an audition asks of what is sent to it."""

from dataclasses import fields

from django.core.exceptions import ValidationError
from django.core.validators import MinValueValidator
from django.db import models
from django.utils.translation import gettext as gettext
from django.utils.translation import gettext_lazy as _

from studio.models.audition import Audition
from studio.sending.names import PLACES, has_stray_brace, names_person, unknown_places
from studio.sending.rules import VIDEO_FORMATS, FilePlan, Rules


def limit(label) -> models.PositiveIntegerField:
    return models.PositiveIntegerField(label, null=True, blank=True, validators=[MinValueValidator(1)])


class SendingRules(models.Model):
    """One set of rules an audition; its fields are those of `studio.sending.rules.Rules`."""

    class Files(models.TextChoices):
        EACH = "each", _("a file for each requirement")
        ONE = "one", _("one file with everything, recorded in one go")

    class Picture(models.TextChoices):
        EITHER = "either", _("sound or video")
        SOUND = "sound", _("sound alone")
        VIDEO = "video", _("video")

    class Announcement(models.TextChoices):
        FREE = "free", _("nothing is said about it")
        REQUIRED = "required", _("name and music are announced at the start")
        FORBIDDEN = "forbidden", _("nobody may speak or be named")

    class Order(models.TextChoices):
        AS_SET = "as_set", _("as the requirements stand")
        ETUDES_FIRST = "etudes_first", _("etudes, then scales")
        SCALES_FIRST = "scales_first", _("scales, then etudes")

    audition = models.OneToOneField(Audition, on_delete=models.CASCADE, related_name="sending_rules")
    files = models.CharField(_("files"), max_length=10, choices=Files.choices, default=Files.EACH)
    picture = models.CharField(
        _("sound or video"), max_length=10, choices=Picture.choices, default=Picture.EITHER
    )
    # Keys of `FORMATS`; empty where the body takes any.
    formats = models.JSONField(_("formats"), default=list, blank=True)
    longest_s = limit(_("longest file"))
    largest_mb = limit(_("largest file, in MB"))
    announcement = models.CharField(
        _("announcement"), max_length=10, choices=Announcement.choices, default=Announcement.FREE
    )
    judged_blind = models.BooleanField(_("judged blind: nothing may say who plays"), default=False)
    name_pattern = models.CharField(_("names of the files"), max_length=120, default="{number} {music}")
    student_statement = models.TextField(_("what the student signs"), blank=True, max_length=2000)
    guardian_statement = models.TextField(_("what a guardian signs"), blank=True, max_length=2000)
    place = models.CharField(_("where it is sent"), max_length=300, blank=True)
    shortest_s = limit(_("shortest file"))
    longest_total_s = limit(_("longest all together"))
    largest_total_mb = limit(_("largest all together, in MB"))
    most_files = limit(_("most files"))
    lowest_kbps = limit(_("lowest bit rate, in kbit/s"))
    highest_kbps = limit(_("highest bit rate, in kbit/s"))
    without_metadata = models.BooleanField(_("what a file says of itself is removed"), default=False)
    order = models.CharField(_("order"), max_length=20, choices=Order.choices, default=Order.AS_SET)
    notes = models.TextField(_("what else the body asks"), blank=True, max_length=2000)

    class Meta:
        verbose_name_plural = "sending rules"

    def __str__(self) -> str:
        return f"sending rules of audition {self.audition_id}"

    @property
    def rules(self) -> Rules:
        """The same as plain data."""
        values = {field.name: getattr(self, field.name) for field in fields(Rules)}
        return Rules(**{**values, "formats": tuple(self.formats)})

    def clean(self) -> None:
        wrong = {name: sentence for name, sentence in self._what_contradicts() if sentence}
        if wrong:
            raise ValidationError(wrong)

    def _what_contradicts(self):
        yield "name_pattern", self._wrong_pattern()
        yield "formats", self._wrong_formats()
        if self.shortest_s and self.longest_s and self.shortest_s > self.longest_s:
            yield "shortest_s", gettext("The shortest file cannot be longer than the longest.")
        if self.lowest_kbps and self.highest_kbps and self.lowest_kbps > self.highest_kbps:
            yield "lowest_kbps", gettext("The lowest bit rate cannot be above the highest.")

    def _wrong_pattern(self) -> str:
        unknown = unknown_places(self.name_pattern)
        if unknown or has_stray_brace(self.name_pattern):
            known = ", ".join(f"{{{name}}}" for name in PLACES)
            return gettext("Only these can stand in braces: %(places)s.") % {"places": known}
        if self.judged_blind and names_person(self.name_pattern):
            return gettext("The body judges blind, so no name can stand here: please take out {student}.")
        if self.files == FilePlan.EACH and "{number}" not in self.name_pattern:
            return gettext("Please put in {number}, so that no two files have the same name.")
        return ""

    def _wrong_formats(self) -> str:
        chosen = set(self.formats)
        if self.picture == self.Picture.VIDEO and chosen and not chosen & VIDEO_FORMATS:
            return gettext("None of these formats holds a video.")
        if self.picture == self.Picture.SOUND and chosen == {"mp4"}:
            return gettext("MP4 is a format for video; sound alone is M4A.")
        return ""
