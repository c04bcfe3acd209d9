"""Which take of each requirement is to be sent: a person's choice, else the best answered one."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Prefetch

from recordings.models import Mark, Take, TakeToSend
from recordings.sending import sentences as say
from recordings.takes.ready_percent import ready_percent
from recordings.takes.required import requirements_of
from recordings.takes.to_send import Asked, TakeFacts, is_ready, lowest_percent, nearest_to_ready
from repertoire.notation.sentence import Sentence
from studio.models import Entry, Requirement

Key = tuple[int, int]  # entry and requirement


@dataclass(frozen=True, slots=True)
class Choice:
    """One requirement with its takes, latest first, and the one to send; `row` where a person chose it."""

    requirement: Requirement
    takes: tuple[Take, ...]
    take: Take | None
    why: Sentence | None = None
    row: TakeToSend | None = None


def choices_of(entries: Sequence[Entry], *, order: str = "") -> dict[int, list[Choice]]:
    """By entry, in the order in which they are sent; the number of queries does not grow with the entries."""
    required, percent = requirements_of(entries), ready_percent()
    takes, rows = _takes_of(entries), _rows_of(entries)
    return {
        entry.pk: [
            _choice(entry, requirement, takes, rows, percent)
            for requirement in in_order(required[entry.audition_id, entry.instrument, entry.level], order)
        ]
        for entry in entries
    }


def in_order(requirements: Sequence[Requirement], order: str) -> list[Requirement]:
    first = {"etudes_first": "etude", "scales_first": "scale"}.get(order)
    return sorted(requirements, key=lambda each: bool(first) and each.excerpt.kind != first)


def best(takes: Sequence[Take], asked: Asked, percent: int) -> tuple[Take | None, Sentence | None]:
    """Of the answered takes one that is ready, else the best marked, a complete one first; and why it is."""
    answered = [take for take in takes if _share(take) is not None]
    if answered:
        chosen = max(answered, key=lambda take: (_is_complete(take), _share(take) or 0.0, take.uploaded_at))
        if len(answered) == 1:
            return chosen, say.ONLY_ANSWERED()
        nearest = nearest_to_ready([facts_of(take) for take in takes], asked)
        if nearest and _only_it_is_ready(nearest, facts_of(chosen), asked, percent):
            ready = next(take for take in takes if take.pk == nearest.pk)
            return ready, say.READY_ANSWERED(count=len(answered))
        return chosen, say.BEST_ANSWERED(count=len(answered))
    latest = next((take for take in takes if not take.is_to_be_recorded_again), None)
    return latest, say.LATEST_UNANSWERED() if latest else None


def _only_it_is_ready(nearest: TakeFacts, chosen: TakeFacts, asked: Asked, percent: int) -> bool:
    return is_ready(nearest, asked, percent=percent) and not is_ready(chosen, asked, percent=percent)


def facts_of(take: Take) -> TakeFacts:
    analysis, review = getattr(take, "analysis", None), getattr(take, "review", None)
    marks = [(mark.value, mark.caption.high) for mark in review.shown_marks] if review else []
    return TakeFacts(
        pk=take.pk,
        at=take.uploaded_at,
        counts=not take.is_to_be_recorded_again,
        complete=analysis.complete if analysis else None,
        bpm=analysis.metronome_bpm if analysis else None,
        answer=review.state if review and review.is_released else "",
        lowest_percent=lowest_percent(marks),
    )


def _choice(
    entry: Entry,
    requirement: Requirement,
    takes: dict[Key, list[Take]],
    rows: dict[Key, TakeToSend],
    percent: int,
) -> Choice:
    own = takes[entry.pk, requirement.pk]
    if row := rows.get((entry.pk, requirement.pk)):
        return Choice(requirement, tuple(own), row.take, row=row)
    asked = Asked(requirement.low_bpm, requirement.high_bpm, entry.closes_at)
    return Choice(requirement, tuple(own), *best(own, asked, percent))


def _is_complete(take: Take) -> bool:
    return getattr(take, "analysis", None) is not None and take.analysis.complete is not False


def _share(take: Take) -> float | None:
    """How far up the marking form its marks stand, weighted, 0 to 100; None without a released answer."""
    review = getattr(take, "review", None)
    if review is None or not review.is_released:
        return None
    marks = [mark for mark in review.shown_marks if mark.value is not None]
    weight = float(sum(mark.caption.weight for mark in marks))
    if not weight:
        return None
    return sum(mark.share_percent * float(mark.caption.weight) for mark in marks) / weight


def _takes_of(entries: Sequence[Entry]) -> dict[tuple[int, int], list[Take]]:
    of_caption = ("caption__low", "caption__high", "caption__weight")
    given = Mark.objects.select_related("caption").only("review", "value", *of_caption)
    marks = Prefetch("review__marks", given)
    takes = (
        Take.objects.filter(entry__in=[entry.pk for entry in entries])
        .select_related("analysis", "review")
        .defer("analysis__result", "review__words")
        .prefetch_related(marks)
    )
    grouped: dict[tuple[int, int], list[Take]] = defaultdict(list)
    for take in takes.order_by("-uploaded_at", "-pk"):
        grouped[take.entry_id, take.requirement_id].append(take)
    return grouped


def _rows_of(entries: Sequence[Entry]) -> dict[tuple[int, int], TakeToSend]:
    rows = TakeToSend.objects.filter(entry__in=[entry.pk for entry in entries])
    chosen = rows.select_related("take__analysis", "chosen_by").defer("take__analysis__result")
    return {(row.entry_id, row.requirement_id): row for row in chosen}
