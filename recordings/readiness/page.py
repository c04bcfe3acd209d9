"""What is shown of one cell: its music, what is asked, its takes."""

from django.conf import settings
from django.utils import timezone

from recordings.access import may_consent_for
from recordings.jobs.request import drawing_query, play_query
from recordings.models import Take
from recordings.readiness.asked import asked_in_short
from recordings.readiness.rows import cell_for
from recordings.takes.history import history, tempo_scale
from recordings.takes.recorder import count_in
from recordings.takes.rest import rest_after
from recordings.takes.side_by_side import can_be_followed
from recordings.takes.tempo_advice import tempo_advice
from recordings.upload.receive import why_not_now
from recordings.upload.resumable import on_their_way
from repertoire.show.wording import tempo_changes
from studio.access import may_teach, may_upload_for
from studio.models import Entry, Requirement, User


def _takes_of(entry: Entry, requirement: Requirement) -> list[Take]:
    takes = Take.objects.filter(entry=entry, requirement=requirement).select_related("analysis", "review")
    return list(takes.defer("analysis__result", "review__words").prefetch_related("review__marks__caption"))


def cell_context(user: User, entry: Entry, requirement: Requirement, *, error: str = "") -> dict:
    """Template context of one requirement of one entry; `error` says why a take was refused."""
    cell, takes = cell_for(entry, requirement), _takes_of(entry, requirement)
    scale = tempo_scale(requirement, takes)
    return {
        "cell": cell,
        "review": cell.answer.review if cell.answer else None,
        "asked": asked_in_short(requirement, due_at=cell.due_at),
        "entry": entry,
        "requirement": requirement,
        "history": history(requirement, takes, scale),
        "scale": scale,
        "may_compare": sum(can_be_followed(take) for take in takes) > 1,
        "advice": tempo_advice(requirement, takes),
        "count_in": count_in(requirement),
        "rest_after": rest_after(takes, at=timezone.now()),
        "bars_query": drawing_query(requirement),
        "play_query": play_query(requirement),
        "tempo_changes": tempo_changes(requirement.excerpt.score, asked=set(requirement.order)),
        "may_upload": may_upload_for(user, entry.student),
        "may_teach": may_teach(user, entry.student),
        "not_now": why_not_now(entry, entry.student),
        "needs_consent": not entry.student.may_record and may_consent_for(user, entry.student),
        **on_their_way(user),
        "error": error,
        "max_mb": settings.TAKE_MAX_MB,
    }
