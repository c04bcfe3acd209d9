"""A review drafted from a measurement: a remark a finding, a suggested range a caption.

Every write counts the review's `edition` up by a conditional update, so that of two
open windows the second learns of the first instead of overwriting it.
"""

from decimal import ROUND_HALF_UP, Decimal

from django.db import transaction
from django.db.models import F, prefetch_related_objects

from recordings.jobs.request import caption_key
from recordings.models import Mark, Remark, Review, ReviewEvent, Take
from recordings.models.remark import LONGEST_BARS
from recordings.reviews.events import record_event
from repertoire.models import Rubric

MOST_DRAFTED_REMARKS = 7


@transaction.atomic
def draft_review(take: Take, result: dict | None) -> Review:
    """Create the draft of `take` from an analysis document, or bring an unreleased one up to it.

    `result` None (nothing could be measured) gives a draft by ear: captions without a suggestion.
    What a teacher has written or changed stays; a released review stays as it is.
    """
    review, created = Review.objects.get_or_create(take=take)
    if not created:
        # Counting up first holds the row, so that no save comes between what follows.
        open_rows = Review.objects.unreleased().filter(pk=review.pk)
        still_open = open_rows.update(edition=F("edition") + 1, window="")
        review.refresh_from_db()
        if not still_open:
            return review
    _draft_marks(review, (result or {}).get("draft_marks") or [])
    if result is not None:
        _draft_remarks(review, _findings_to_draft(take, result))
        record_event(review, ReviewEvent.Kind.DRAFTED, by=None)
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
    by_key = {suggestion.get("caption"): suggestion for suggestion in suggestions}
    if rubric != review.take.requirement.rubric:
        return  # marked on an earlier version, whose scales the suggestions no longer speak of
    for caption in rubric.captions.all():
        suggested = by_key.get(caption_key(caption), {})
        Mark.objects.update_or_create(
            review=review,
            caption=caption,
            defaults={
                "suggested_low": _as_mark(suggested.get("low")),
                "suggested_high": _as_mark(suggested.get("high")),
                "evidence": suggested.get("evidence") or "",
            },
        )


def _as_mark(value: float | None) -> Decimal | None:
    return None if value is None else Decimal(str(value)).quantize(Decimal("0.1"), ROUND_HALF_UP)


def _findings_to_draft(take: Take, result: dict) -> list[dict]:
    """The findings, and before their strengths what got better since this student's last take of it."""
    from recordings.analysis.tell.progress import progress

    findings = result.get("findings") or []
    earlier = take.result_before
    better = progress(earlier, result) if earlier else None
    if better is None:
        return findings
    faults = [finding for finding in findings if not finding.get("strength")]
    strengths = [finding for finding in findings if finding.get("strength")]
    return [*faults[: MOST_DRAFTED_REMARKS - 1 - min(len(strengths), 1)], better, *strengths]


def _draft_remarks(review: Review, findings: list[dict]) -> None:
    written = []
    for remark in review.remarks.all():
        if remark.is_as_drafted:
            remark.delete()
        else:
            written.append(remark)
    known = {(remark.finding["kind"], remark.finding["bars"]) for remark in written if remark.finding}
    fresh = [finding for finding in findings if (finding["kind"], finding["bars"]) not in known]
    free = max(0, MOST_DRAFTED_REMARKS - len(known))
    first = max((remark.position for remark in written), default=-1) + 1
    Remark.objects.bulk_create(
        Remark(
            review=review,
            position=first + number,
            bars=finding["bars"][:LONGEST_BARS],
            start_s=finding["start_s"],
            end_s=finding["end_s"],
            finding=finding,
        )
        for number, finding in enumerate(fresh[:free])
    )
