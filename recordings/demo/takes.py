"""The demo's takes, their ready-made analyses and the teachers' answers to them."""

import gzip
import hashlib
import json
from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import BinaryIO, cast

from django.core.files.base import ContentFile
from django.utils import timezone

from recordings.demo.plan import FIXTURES, Calendar
from recordings.jobs.request import caption_key
from recordings.jobs.unusable import unusable
from recordings.models import Analysis, Remark, Review, ReviewEvent, Take
from recordings.reviews.draft import draft_review
from recordings.reviews.release import release_review, withdraw_review
from recordings.reviews.save import RemarkText, ReviewText, save_review
from repertoire.notation.sentence import Sentence
from studio.models import Entry, Requirement, Student

MEDIA_TYPES = {".opus": "audio/ogg", ".flac": "audio/flac", ".m4a": "audio/mp4"}
WORKER = "demo"
ANSWERED_AFTER = timedelta(days=1, hours=2)
READ_WITHIN = timedelta(days=5)
WITHDRAWN_AFTER = timedelta(days=2)


def load_takes(
    plan: dict,
    students: dict[str, Student],
    requirements: dict[str, Requirement],
    entries: dict[tuple[str, int], Entry],
    calendar: Calendar,
) -> int:
    """Load every take of the plan; returns how many are left for the workers to measure."""
    waiting = 0
    for number, row in enumerate(plan["takes"]):
        requirement = requirements[row["requirement"]]
        entry = entries[row["student"], requirement.audition_id]
        uploaded_at = calendar.at(row["day"], 16 + number % 4, number * 7 % 60)
        take = _take(row, entry, requirement, students[row["student"]], uploaded_at)
        waiting += _measured(row, take) is Analysis.State.WAITING
        if "review" in row:
            _answer(row["review"], take)
    return waiting


def _take(row: dict, entry: Entry, requirement: Requirement, student: Student, uploaded_at: datetime) -> Take:
    name, content = _sound(row)
    take = Take(
        entry=entry,
        requirement=requirement,
        uploaded_by=student.user,
        uploaded_at=uploaded_at,
        sha256=hashlib.sha256(content).hexdigest(),
        size=len(content),
        media_type=MEDIA_TYPES[Path(name).suffix],
        original_name=f"take-{uploaded_at:%d-%m}{Path(name).suffix}",
    )
    take.sound.save("take", ContentFile(content), save=False)
    take.save()
    return take


def _sound(row: dict) -> tuple[str, bytes]:
    if "text" in row:
        return row["name"], row["text"].encode()
    path = next((FIXTURES / "takes").glob(f"{row['sound']}.*"))
    return path.name, path.read_bytes()


def _measured(row: dict, take: Take) -> str:
    """Give the take its analysis row: ready-made where one fits, else waiting for the workers' next sweep."""
    analysis = Analysis.objects.create(take=take, created_at=take.uploaded_at, heartbeat_at=take.uploaded_at)
    if "text" in row:
        analysis.mark_failed(_refusal(take), unusable=Analysis.Unusable.UNREADABLE)
        return Analysis.State.FAILED
    result = None if row.get("unmeasured") else ready_made(row["sound"], take)
    if result is None:
        # In the queue from now on, however long ago the take was handed in; the next sweep sends for it.
        Analysis.objects.filter(pk=analysis.pk).update(created_at=timezone.now())
        return Analysis.State.WAITING
    analysis.claim_for(WORKER)
    reason = unusable(result)
    analysis.finish(WORKER, result, unusable=reason)
    Analysis.objects.filter(pk=analysis.pk).update(finished_at=take.uploaded_at + timedelta(minutes=1))
    take.analysis.refresh_from_db()
    if not reason:
        draft_review(take, result)
    return Analysis.State.DONE


def _refusal(take: Take) -> Sentence:
    from recordings.analysis.recording.decode import NotAudio, decode

    try:
        with take.sound.open("rb") as sound:
            decode(cast(BinaryIO, sound))
    except NotAudio as refused:
        return refused.sentence
    raise AssertionError("The demo's broken file must not be readable as sound.")


def ready_made(name: str, take: Take) -> dict | None:
    """The stored analysis of this very sound, score and pipeline version; None where one has changed."""
    path = FIXTURES / "analyses" / f"{name}.json.gz"
    if not path.exists():
        return None
    from recordings.analysis.document import contract

    stored = json.loads(gzip.decompress(path.read_bytes()))
    musicxml = take.requirement.excerpt.musicxml
    made_for = (contract.VERSION, take.sha256, hashlib.sha256(musicxml.encode()).hexdigest())
    if (stored["version"], stored["sound_sha256"], stored["score_sha256"]) != made_for:
        return None
    result = stored["result"]
    for suggestion, caption in zip(
        result["draft_marks"], take.requirement.rubric.captions.all(), strict=True
    ):
        suggestion["caption"] = caption_key(caption)
    return result


def _answer(row: dict, take: Take) -> None:
    teacher, at = take.entry.student.teacher, take.uploaded_at + ANSWERED_AFTER
    review = Review.objects.filter(take=take).first() or draft_review(take, None)
    captions = take.requirement.rubric.captions.all()
    marks = {
        caption.pk: None if value is None else Decimal(str(value))
        for caption, value in zip(captions, row["marks"], strict=True)
    }
    kept = tuple(
        replace(RemarkText.of(remark), verdict=Remark.Verdict.KEPT) for remark in review.remarks.all()
    )
    text = ReviewText(words=row["words"], marks=marks, remarks=kept)
    save_review(review, text, edition=review.edition, by=teacher, at=at)
    if not row.get("draft"):
        release_review(review, by=teacher, at=at)
    if row.get("withdrawn"):
        withdraw_review(review, by=teacher, at=take.uploaded_at + WITHDRAWN_AFTER)
    Review.objects.filter(pk=review.pk).update(created_at=take.uploaded_at)
    if at < timezone.now() - READ_WITHIN:
        Review.objects.released().filter(pk=review.pk).update(opened_at=at + READ_WITHIN)
    review.events.filter(kind=ReviewEvent.Kind.DRAFTED).update(at=take.uploaded_at)
