"""The teacher's answer to a take: marks by caption, remarks by bar; a draft until released."""

from typing import TYPE_CHECKING

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from recordings.models.take import Take
from repertoire.models import Rubric, Total
from studio.models.telling import TellingQuerySet

if TYPE_CHECKING:
    from recordings.models.mark import Mark
    from recordings.models.remark import Remark


class ReviewQuerySet(TellingQuerySet):
    told = frozenset({"state", "again"})

    def unreleased(self) -> "ReviewQuerySet":
        """Those that may still be written on: drafts, and what was withdrawn."""
        return self.filter(state__in=[Review.State.DRAFT, Review.State.WITHDRAWN])

    def released(self) -> "ReviewQuerySet":
        return self.filter(state=Review.State.RELEASED)


class Review(models.Model):
    class State(models.TextChoices):
        DRAFT = "draft", _("draft")
        RELEASED = "released", _("released")
        WITHDRAWN = "withdrawn", _("withdrawn")

    class Again(models.TextChoices):
        """Why the teacher asks for another recording instead of marking this one."""

        QUIET = "quiet", _("It is too quiet to be heard well.")
        DISTORTED = "distorted", _("The sound is distorted.")
        CUT_OFF = "cut_off", _("It is cut off.")
        OTHER_MUSIC = "other_music", _("It is other music.")
        OTHER_INSTRUMENT = "other_instrument", _("It is another instrument.")
        OTHER = "other", _("It cannot be heard well enough.")

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
    # An answer without marks: only why to record again.
    again = models.CharField(max_length=20, choices=Again.choices, blank=True)
    released_at = models.DateTimeField(null=True, blank=True)
    # When the player first opened the answer; empty again once it is withdrawn.
    opened_at = models.DateTimeField(null=True, blank=True, editable=False)

    objects = ReviewQuerySet.as_manager()

    class Meta:
        ordering = ["-created_at", "-pk"]
        # Answered takes, the latest answer first.
        indexes = [models.Index(fields=["state", "-released_at"], name="review_by_release")]

    def __str__(self) -> str:
        return f"review {self.pk}"

    @property
    def is_released(self) -> bool:
        return self.state == self.State.RELEASED

    @property
    def is_new(self) -> bool:
        """Released and not yet opened by its player."""
        return self.is_released and self.opened_at is None

    def note_opened(self, *, by) -> None:
        """The player has it open; for a child without an account of its own a guardian has."""
        student = self.take.entry.student
        is_players = student.user_id == by.pk or (
            student.user_id is None and student.guardianships.filter(guardian=by).exists()
        )
        if self.is_new and is_players:
            Review.objects.filter(pk=self.pk, opened_at=None).update(opened_at=timezone.now())

    @property
    def rubric(self) -> Rubric:
        return self.rubric_by(list(self.marks.select_related("caption__rubric")))

    def rubric_by(self, marks: "list[Mark]") -> Rubric:
        """The version it is marked with; while it has no mark, and is not released, the current one."""
        given = [mark for mark in marks if self.is_released or mark.value is not None]
        return given[0].caption.rubric if given else self.take.requirement.rubric

    @property
    def shown_total(self) -> Total | None:
        """The weighted total, where the director lets students see it and the answer carries marks."""
        if self.again:
            return None
        rubric = self.rubric
        if not rubric.total_shown:
            return None
        return rubric.total({mark.caption_id: mark.value for mark in self.marks.all()})

    @property
    def shown_marks(self) -> list["Mark"]:
        """Its marks; none where it only asks for another recording, whatever was typed before."""
        return [] if self.again else list(self.marks.all())

    @property
    def unmarked_captions(self) -> list[str]:
        return [mark.caption.name for mark in self.marks.all() if mark.value is None]

    @property
    def open_proposals(self) -> list["Remark"]:
        """Drafted remarks the teacher has neither kept nor left out: they are not sent."""
        return [remark for remark in self.remarks.all() if remark.verdict == remark.Verdict.PROPOSED]

    @property
    def shown_remarks(self) -> list["Remark"]:
        """The remarks the student gets to see: kept by the teacher, and not left blank."""
        if self.again:
            return []
        return [remark for remark in self.remarks.all() if remark.kept and remark.text.strip()]
