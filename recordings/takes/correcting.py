"""Setting a measurement right: what a teacher says is kept with the take, and the take is measured again."""

from dataclasses import asdict, dataclass, field

from django.db import IntegrityError, transaction
from django.db.models import F

from recordings.jobs import queue
from recordings.models import Correction, Review, Take
from studio.models import Event
from studio.services.events import record


class CorrectedElsewhere(Exception):
    """Another window, or another teacher, has corrected this take since it was opened."""


class AnswerIsOut(Exception):
    """The answer is released: what it rests on is not changed under it."""


@dataclass(frozen=True)
class Said:
    """What one window says of a take, all of it; nothing takes back what was said before."""

    begins_s: float | None = None
    ends_s: float | None = None
    order_line: str = ""
    bar_lines: list[dict] = field(default_factory=list)
    right_notes: list[dict] = field(default_factory=list)


def edition_of(take: Take) -> int:
    """Of what was last said of this take; 0 before anything was."""
    last = Correction.objects.in_force(take.pk)
    return last.edition if last else 0


@transaction.atomic
def correct(take: Take, said: Said, *, edition: int, by) -> Correction:
    """Keep what is said after `edition`, and have the take measured again before all others."""
    # Holds the row, and tells whoever is about to release what rests on the measurement of before.
    Review.objects.unreleased().filter(take=take).update(edition=F("edition") + 1, window="")
    if Review.objects.released().filter(take=take).exists():
        raise AnswerIsOut
    if edition_of(take) != edition:
        raise CorrectedElsewhere
    try:
        with transaction.atomic():
            kept = Correction.objects.create(
                take=take,
                edition=edition + 1,
                by=by,
                score_hash=take.requirement.excerpt.content_hash,
                **asdict(said),
            )
    except IntegrityError as same_edition:
        raise CorrectedElsewhere from same_edition
    record(Event.Kind.CORRECTED, take, by=by.pk)
    queue.measure_again(take.analysis, at_desk=True)
    return kept
