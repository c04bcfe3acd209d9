"""The review's way: drafted from a measurement, saved by the teacher, released, withdrawn.

Every write counts the review's `edition` up by a conditional update, so that of two
open windows the second learns of the first instead of overwriting it.
"""

from dataclasses import dataclass, field
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal

from django.db import transaction
from django.db.models import F, prefetch_related_objects
from django.utils import timezone

from recordings.models import Mark, Remark, Review, ReviewEvent, Take
from repertoire.models import Caption, Rubric

MOST_DRAFTED_REMARKS = 7
LONGEST_BARS = Remark._meta.get_field("bars").max_length
OPEN_STATES = (Review.State.DRAFT, Review.State.WITHDRAWN)


class SavedElsewhere(Exception):
    """Another window, or a new measurement, has changed the review since this one was opened."""


class AlreadyReleased(Exception):
    """A released review is not changed; it has to be withdrawn first."""


class NotEveryCaptionMarked(Exception):
    """The release waits for marks; the message names the captions in the rubric's order."""


@dataclass(frozen=True)
class RemarkText:
    """One remark as it stands on the teacher's page; `pk` is None for one that is not stored yet."""

    text: str
    bars: str = ""
    start_s: float | None = None
    end_s: float | None = None
    kept: bool = True
    pk: int | None = None


@dataclass(frozen=True)
class ReviewText:
    """All that a teacher writes; `marks` by caption id, a caption left out keeps the mark it has."""

    words: str = ""
    marks: dict[int, Decimal | None] = field(default_factory=dict)
    remarks: tuple[RemarkText, ...] = ()


@transaction.atomic
def draft_review(take: Take, result: dict | None) -> Review:
    """Create the draft of `take` from an analysis document, or bring an unreleased one up to it.

    `result` None (nothing could be measured) gives a draft by ear: captions without a suggestion.
    What a teacher has written or changed stays; a released review stays as it is.
    """
    review, created = Review.objects.get_or_create(take=take)
    if not created:
        # Counting up first holds the row, so that no save comes between what follows.
        open_rows = Review.objects.filter(pk=review.pk, state__in=OPEN_STATES)
        still_open = open_rows.update(edition=F("edition") + 1, window="")
        review.refresh_from_db()
        if not still_open:
            return review
    _draft_marks(review, (result or {}).get("draft_marks") or [])
    if result is not None:
        _draft_remarks(review, _worth_saying(take, result))
        _note_event(review, ReviewEvent.Kind.DRAFTED, by=None)
    return review


def ensure_draft(take: Take) -> Review:
    """The take's review, with a mark for each of its rubric's captions; drafted now where there is none."""
    review = Review.objects.filter(take=take).first()
    if review is None:
        return draft_review(take, take.analysis.result)
    review.take = take  # as loaded, with its requirement and music
    if not review.is_released:
        _add_missing_marks(review)
    return review


def _add_missing_marks(review: Review) -> None:
    """Captions that were added to the rubric after the draft want a mark as well."""
    rubric = move_unmarked(review)
    prefetch_related_objects([rubric], "captions")
    known = set(review.marks.values_list("caption_id", flat=True))
    missing = [
        Mark(review=review, caption=caption) for caption in rubric.captions.all() if caption.pk not in known
    ]
    if missing:
        Mark.objects.bulk_create(missing, ignore_conflicts=True)


def move_unmarked(review: Review) -> Rubric:
    """A draft without a mark goes over to the form's current version; the version the review is on.

    A suggestion stays with a caption that is still measured and marked the same way; others go.
    """
    marks = list(review.marks.select_related("caption__rubric"))
    rubric = review.rubric_by(marks)
    old = [mark for mark in marks if mark.value is None and mark.caption.rubric_id != rubric.pk]
    if not old:
        return rubric
    taken = {mark.caption_id for mark in marks}
    for caption in rubric.captions.exclude(pk__in=taken):
        same = next((mark for mark in old if caption.is_marked_like(mark.caption)), None)
        if same is not None:
            old.remove(same)
            Mark.objects.filter(pk=same.pk).update(caption=caption)
    Mark.objects.filter(pk__in=[mark.pk for mark in old]).delete()
    # A window still open on the earlier captions is told instead of losing what is typed there.
    Review.objects.filter(pk=review.pk).update(edition=F("edition") + 1, window="")
    review.refresh_from_db()
    return rubric


def _draft_marks(review: Review, suggestions: list[dict]) -> None:
    rubric = move_unmarked(review)
    if rubric != review.take.requirement.rubric:
        return  # marked on an earlier version, whose scales the suggestions no longer speak of
    for caption in rubric.captions.all():
        suggested = next((one for one in suggestions if _is_for(one, caption)), {})
        Mark.objects.update_or_create(
            review=review,
            caption=caption,
            defaults={
                "suggested_low": _as_mark(suggested.get("low")),
                "suggested_high": _as_mark(suggested.get("high")),
                "evidence": suggested.get("evidence") or "",
            },
        )


def _is_for(suggestion: dict, caption: Caption) -> bool:
    return suggestion.get("caption") == (caption.measured or f"ear-{caption.pk}")


def _as_mark(value: float | None) -> Decimal | None:
    return None if value is None else Decimal(str(value)).quantize(Decimal("0.1"), ROUND_HALF_UP)


def _worth_saying(take: Take, result: dict) -> list[dict]:
    """The findings, and before their strengths what got better since this student's last take of it."""
    from recordings.analysis.tell.progress import progress

    findings = result.get("findings") or []
    earlier = take.result_before
    better = progress(earlier, result) if earlier else None
    if better is None:
        return findings
    faults = [one for one in findings if not one.get("strength")]
    strengths = [one for one in findings if one.get("strength")]
    return [*faults[: MOST_DRAFTED_REMARKS - 1 - min(len(strengths), 1)], better, *strengths]


def _draft_remarks(review: Review, findings: list[dict]) -> None:
    written = []
    for remark in review.remarks.all():
        if remark.is_as_drafted:
            remark.delete()
        else:
            written.append(remark)
    told = {(one.finding["kind"], one.finding["bars"]) for one in written if one.finding}
    fresh = [one for one in findings if (one["kind"], one["bars"]) not in told]
    free = max(0, MOST_DRAFTED_REMARKS - len(told))
    first = max((one.position for one in written), default=-1) + 1
    Remark.objects.bulk_create(
        Remark(
            review=review,
            position=first + number,
            bars=finding["bars"][:LONGEST_BARS],
            start_s=finding["start_s"],
            end_s=finding["end_s"],
            text=finding["text"],
            finding=finding,
        )
        for number, finding in enumerate(fresh[:free])
    )


@transaction.atomic
def save_review(
    review: Review, text: ReviewText, *, edition: int, window: str = "", by=None, at: datetime | None = None
) -> list[int | None]:
    """Store what the teacher wrote; the ids of `text.remarks` in order, None for one left blank.

    Raises SavedElsewhere where `edition` is not the stored one (unless this very window
    saved last and did not hear the answer) and AlreadyReleased for a released review.
    """
    rows = Review.objects.filter(pk=review.pk, state__in=OPEN_STATES)
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
        remark = stored.pop(given.pk, None) or Remark(review=review)
        if not given.text.strip() and remark.finding is None:
            if remark.pk:
                remark.delete()
            ids.append(None)
            continue
        remark.position, remark.text, remark.bars = position, given.text, given.bars
        remark.start_s, remark.end_s, remark.kept = given.start_s, given.end_s, given.kept
        remark.save()
        ids.append(remark.pk)
    for gone in stored.values():
        # A finding is evidence: a teacher leaves it out, nobody deletes it.
        if gone.finding is None:
            gone.delete()
        else:
            Remark.objects.filter(pk=gone.pk).update(kept=False, position=len(remarks))
    return ids


@transaction.atomic
def release_review(review: Review, *, by, edition: int | None = None, at: datetime | None = None) -> bool:
    """Show the review to the student; False (and nothing done) where it is released already.

    Raises NotEveryCaptionMarked, or SavedElsewhere where `edition` is given and no longer the stored one.
    """
    review.refresh_from_db()
    if review.is_released:
        return False
    if edition is not None and edition != review.edition:
        raise SavedElsewhere
    unmarked = [mark.caption.name for mark in review.marks.select_related("caption") if mark.value is None]
    if unmarked:
        raise NotEveryCaptionMarked(", ".join(unmarked))
    won = Review.objects.filter(pk=review.pk, state__in=OPEN_STATES, edition=review.edition).update(
        state=Review.State.RELEASED, released_at=at or timezone.now(), reviewer=by, edition=F("edition") + 1
    )
    review.refresh_from_db()
    if not won:
        if review.is_released:
            return False
        raise SavedElsewhere
    _note_event(review, ReviewEvent.Kind.RELEASED, by=by, at=at)
    return True


@transaction.atomic
def withdraw_review(review: Review, *, by, at: datetime | None = None) -> bool:
    """Take a released review back from the student; False where it is not released."""
    won = Review.objects.filter(pk=review.pk, state=Review.State.RELEASED).update(
        state=Review.State.WITHDRAWN, released_at=None, edition=F("edition") + 1
    )
    review.refresh_from_db()
    if won:
        _note_event(review, ReviewEvent.Kind.WITHDRAWN, by=by, at=at)
    return bool(won)


def _note_event(review: Review, kind: str, *, by, at: datetime | None = None) -> None:
    ReviewEvent.objects.create(
        review=review, kind=kind, by=by, at=at or timezone.now(), snapshot=_snapshot(review)
    )


def _snapshot(review: Review) -> dict:
    """The review's content by value: later changes to rubric, marks or remarks do not touch it."""
    marks = [
        {
            "caption": mark.caption.name,
            "value": None if mark.value is None else str(mark.value),
            "low": str(mark.caption.low),
            "high": str(mark.caption.high),
        }
        for mark in review.marks.select_related("caption")
    ]
    remarks = [
        {"bars": one.bars, "text": one.text, "kept": one.kept, "start_s": one.start_s, "end_s": one.end_s}
        for one in review.remarks.all()
    ]
    return {"words": review.words, "marks": marks, "remarks": remarks}
