"""Which take of each requirement is to be sent: a person's choice, else the best answered one."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from recordings.models import Mark, Take, TakeToSend
from recordings.sending import sentences as say
from recordings.takes.ready_percent import ready_percent
from recordings.takes.required import requirements_of
from recordings.takes.to_send import Asked, TakeFacts, is_ready, lowest_percent, nearest_to_ready
from repertoire.notation.sentence import Sentence
from studio.models import Entry, Requirement

Key = tuple[int, int]  # entry and requirement


@dataclass(frozen=True, slots=True)
class GivenMark:
    value: Decimal | None
    low: Decimal
    high: Decimal
    weight: Decimal

    @property
    def share(self) -> Decimal:
        """How far up its own scale it stands, 0 to 1."""
        span = self.high - self.low
        return (self.value - self.low) / span if span and self.value is not None else Decimal(0)


Marks = dict[int, list[GivenMark]]


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
    takes, rows, marks = _takes_of(entries), _rows_of(entries), _marks_of(entries)
    return {
        entry.pk: [
            _choice(entry, requirement, takes, rows, marks, percent)
            for requirement in in_order(required[entry.audition_id, entry.instrument, entry.level], order)
        ]
        for entry in entries
    }


def in_order(requirements: Sequence[Requirement], order: str) -> list[Requirement]:
    first = {"etudes_first": "etude", "scales_first": "scale"}.get(order)
    return sorted(requirements, key=lambda each: bool(first) and each.excerpt.kind != first)


def best(
    takes: Sequence[Take], asked: Asked, percent: int, marks: Marks
) -> tuple[Take | None, Sentence | None]:
    """Of the answered takes one that is ready, else the best marked, a complete one first; and why it is."""
    shares = {take.pk: share for take in takes if (share := _share(marks.get(take.pk, ()))) is not None}
    answered = [take for take in takes if take.pk in shares]
    if answered:
        chosen = max(answered, key=lambda take: (_is_complete(take), shares[take.pk], take.uploaded_at))
        if len(answered) == 1:
            return chosen, say.ONLY_ANSWERED()
        nearest = nearest_to_ready([_facts_of(take, marks) for take in takes], asked)
        if nearest and _only_it_is_ready(nearest, _facts_of(chosen, marks), asked, percent):
            ready = next(take for take in takes if take.pk == nearest.pk)
            return ready, say.READY_ANSWERED(count=len(answered))
        return chosen, say.BEST_ANSWERED(count=len(answered))
    latest = next((take for take in takes if not take.is_to_be_recorded_again), None)
    return latest, say.LATEST_UNANSWERED() if latest else None


def _only_it_is_ready(nearest: TakeFacts, chosen: TakeFacts, asked: Asked, percent: int) -> bool:
    return is_ready(nearest, asked, percent=percent) and not is_ready(chosen, asked, percent=percent)


def _facts_of(take: Take, marks: Marks) -> TakeFacts:
    analysis, review = getattr(take, "analysis", None), getattr(take, "review", None)
    return TakeFacts(
        pk=take.pk,
        at=take.uploaded_at,
        counts=not take.is_to_be_recorded_again,
        complete=analysis.complete if analysis else None,
        bpm=analysis.metronome_bpm if analysis else None,
        answer=review.state if review and review.is_released else "",
        lowest_percent=lowest_percent([(mark.value, mark.high) for mark in marks.get(take.pk, ())]),
    )


def _choice(
    entry: Entry,
    requirement: Requirement,
    takes: dict[Key, list[Take]],
    rows: dict[Key, TakeToSend],
    marks: Marks,
    percent: int,
) -> Choice:
    own = takes[entry.pk, requirement.pk]
    if row := rows.get((entry.pk, requirement.pk)):
        return Choice(requirement, tuple(own), row.take, row=row)
    asked = Asked(requirement.low_bpm, requirement.high_bpm, entry.closes_at)
    return Choice(requirement, tuple(own), *best(own, asked, percent, marks))


def _is_complete(take: Take) -> bool:
    return getattr(take, "analysis", None) is not None and take.analysis.complete is not False


def _share(marks: Sequence[GivenMark]) -> float | None:
    """How far up the marking form they stand, weighted, 0 to 1; None where there is none."""
    given = [mark for mark in marks if mark.value is not None]
    weight = sum(mark.weight for mark in given)
    if not weight:
        return None
    return float(sum(mark.share * mark.weight for mark in given) / weight)


def _takes_of(entries: Sequence[Entry]) -> dict[tuple[int, int], list[Take]]:
    takes = (
        Take.objects.filter(entry__in=[entry.pk for entry in entries])
        .select_related("analysis", "review")
        .defer("analysis__result", "review__words")
    )
    grouped: dict[tuple[int, int], list[Take]] = defaultdict(list)
    for take in takes.order_by("-uploaded_at", "-pk"):
        grouped[take.entry_id, take.requirement_id].append(take)
    return grouped


def _marks_of(entries: Sequence[Entry]) -> Marks:
    """Those of released answers, by take; an answer that only asks for another recording has none."""
    given = Mark.objects.filter(
        review__take__entry__in=[entry.pk for entry in entries], review__state="released", review__again=""
    ).order_by()
    found: Marks = defaultdict(list)
    of_caption = ("caption__low", "caption__high", "caption__weight")
    for take, *mark in given.values_list("review__take", "value", *of_caption):
        found[take].append(GivenMark(*mark))
    return found


def _rows_of(entries: Sequence[Entry]) -> dict[tuple[int, int], TakeToSend]:
    rows = TakeToSend.objects.filter(entry__in=[entry.pk for entry in entries])
    chosen = rows.select_related("take__analysis", "chosen_by").defer("take__analysis__result")
    return {(row.entry_id, row.requirement_id): row for row in chosen}
