"""Saving what a teacher writes, with the edition it was written on: no window overwrites another."""

from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import F
from django.utils import timezone

from recordings.models import Mark, Remark, Review


class SavedElsewhere(Exception):
    """Another window, or a new measurement, has changed the review since this one was opened."""


class AlreadyReleased(Exception):
    """A released review is not changed; it has to be withdrawn first."""


@dataclass(frozen=True)
class RemarkText:
    """One remark as it stands on the teacher's page; `pk` is None for one that is not stored yet."""

    text: str
    bars: str = ""
    start_s: float | None = None
    end_s: float | None = None
    verdict: str = Remark.Verdict.PROPOSED
    wrong_reason: str = ""
    pk: int | None = None

    @classmethod
    def of(cls, remark: Remark) -> "RemarkText":
        return cls(
            remark.text, remark.bars, remark.start_s, remark.end_s, remark.verdict, remark.wrong_reason,
            remark.pk,
        )  # fmt: skip

    @property
    def choice(self) -> str:
        """The verdict as the page sends it: "kept", "dropped", "wrong:style", or "" before any."""
        if self.verdict == Remark.Verdict.PROPOSED:
            return ""
        return f"{self.verdict}:{self.wrong_reason}" if self.wrong_reason else self.verdict

    @property
    def kept(self) -> bool:
        return self.verdict == Remark.Verdict.KEPT


@dataclass(frozen=True)
class ReviewText:
    """All that a teacher writes; `marks` by caption id, a caption left out keeps the mark it has."""

    words: str = ""
    marks: dict[int, Decimal | None] = field(default_factory=dict)
    remarks: tuple[RemarkText, ...] = ()


@transaction.atomic
def save_review(
    review: Review, text: ReviewText, *, edition: int, window: str = "", by=None, at: datetime | None = None
) -> list[int | None]:
    """Store what the teacher wrote; the ids of `text.remarks` in order, None for one left blank.

    Raises SavedElsewhere where `edition` is not the stored one (unless this very window
    saved last and did not hear the answer) and AlreadyReleased for a released review.
    """
    rows = Review.objects.unreleased().filter(pk=review.pk)
    changes = {
        "words": text.words,
        "edition": F("edition") + 1,
        "window": window,
        "reviewer": by,
        "saved_at": at or timezone.now(),
    }
    saved = rows.filter(edition=edition).update(**changes)
    if not saved and window:
        saved = rows.filter(edition=edition + 1, window=window).update(**{**changes, "edition": edition + 1})
    if not saved:
        review.refresh_from_db()
        raise AlreadyReleased if review.is_released else SavedElsewhere
    for caption_id, value in text.marks.items():
        Mark.objects.filter(review=review, caption_id=caption_id).update(value=value)
    ids = _store_remarks(review, text.remarks)
    review.refresh_from_db()
    return ids


def _store_remarks(review: Review, remarks: tuple[RemarkText, ...]) -> list[int | None]:
    stored = {remark.pk: remark for remark in review.remarks.all()}
    ids: list[int | None] = []
    for position, given in enumerate(remarks):
        remark = (stored.pop(given.pk, None) if given.pk else None) or Remark(review=review)
        if not given.text.strip() and remark.finding is None:
            if remark.pk:
                remark.delete()
            ids.append(None)
            continue
        remark.position, remark.bars = position, given.bars
        remark.say(given.text)
        remark.start_s, remark.end_s = given.start_s, given.end_s
        remark.verdict, remark.wrong_reason = _verdict(remark, given)
        remark.save()
        ids.append(remark.pk)
    for gone in stored.values():
        # A finding is evidence: a teacher leaves it out, nobody deletes it.
        if gone.finding is None:
            gone.delete()
        else:
            Remark.objects.filter(pk=gone.pk).update(verdict=Remark.Verdict.DROPPED, position=len(remarks))
    return ids


def _verdict(remark: Remark, given: RemarkText) -> tuple[str, str]:
    """(verdict, reason). Who rewrites a proposal means to send it; a teacher's own words are no proposal."""
    verdict = Remark.Verdict(given.verdict)
    rewritten = remark.own_text is not None
    if verdict == Remark.Verdict.PROPOSED and rewritten:
        verdict = Remark.Verdict.KEPT
    if verdict != Remark.Verdict.WRONG or remark.finding is None:
        return (Remark.Verdict.DROPPED if verdict == Remark.Verdict.WRONG else verdict), ""
    return verdict, given.wrong_reason
