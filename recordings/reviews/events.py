"""What happened to a review, each time with all it held then."""

from datetime import datetime

from django.utils import timezone

from recordings.models import Review, ReviewEvent
from studio.models import Event
from studio.services.events import record

# What the studio's own record says of it, without contents.
TOLD: dict[str, str] = {
    ReviewEvent.Kind.RELEASED: Event.Kind.RELEASED,
    ReviewEvent.Kind.WITHDRAWN: Event.Kind.TAKEN_BACK,
}


def record_event(review: Review, kind: str, *, by, at: datetime | None = None) -> None:
    ReviewEvent.objects.create(
        review=review, kind=kind, by=by, at=at or timezone.now(), snapshot=_snapshot(review)
    )
    if kind in TOLD:
        record(TOLD[kind], review.take, by=by.pk if by else None)


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
        {
            "bars": remark.bars,
            "text": remark.stored_text,
            "kept": remark.kept,
            "verdict": remark.verdict,
            "start_s": remark.start_s,
            "end_s": remark.end_s,
        }
        for remark in review.remarks.all()
    ]
    return {"words": review.words, "again": review.again, "marks": marks, "remarks": remarks}
