"""The cells that may need a person, found in the database by what is kept of their takes.

Only these are loaded; `week_rules` judges them. Of takes only numbers are read, of those told about tempo the
last three that count; marks only of answers that come close to ready.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, cast

from django.db.models import F, Q, QuerySet, Window
from django.db.models.functions import RowNumber
from django.utils import timezone

from recordings.models import KeptCell, Mark, Take
from recordings.readiness.rules import CellFacts, MarkFacts, State
from recordings.readiness.week_rules import (
    CLOSE_MARK,
    CLOSE_TEMPO,
    DUE_WITHIN_DAYS,
    TAKES_COMPARED,
    UNHEARD_FOR,
    Measured,
    Need,
    cell_need,
)
from studio.models import Entry, Requirement

CellKey = tuple[int, int]  # entry and requirement
_READ = (
    "entry", "requirement", "take_count", "latest", "latest_at", "latest_measured", "latest_answer",
    "latest_complete", "latest_bpm", "chases_tempo",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class NeedyCell:
    need: Need
    entry: Entry
    requirement: Requirement
    facts: CellFacts
    take_id: int | None
    takes: tuple[Measured, ...]  # the latest first


def needy_cells(
    cells: QuerySet[KeptCell], entries: dict[int, Entry], *, at: datetime, percent: int
) -> Iterator[NeedyCell]:
    """Of `cells`, which carry their `state` and belong to `entries`."""
    found: list[Any] = list(cells.filter(_may_need(at, percent)).order_by("pk").only(*_READ))
    asked = _requirements(found)
    marks = _marks([cell.latest_id for cell in found if _is_marked(cell)])
    takes = _last_takes([cell for cell in found if cell.chases_tempo])
    for cell in found:
        entry, requirement = entries[cell.entry_id], asked[cell.requirement_id]
        facts = _facts(cell, entry, requirement, tuple(marks.get(cell.latest_id, ())), at, percent)
        played = takes.get((cell.entry_id, cell.requirement_id), ())
        days_left = (timezone.localdate(facts.due_at) - timezone.localdate(at)).days
        need = cell_need(facts, state=State(cell.state), days_left=days_left, takes=played)
        if need:
            yield NeedyCell(need, entry, requirement, facts, cell.latest_id, tuple(played))


def _may_need(at: datetime, percent: int) -> Q:
    """Every cell that needs a person, and some that do not."""
    soon = at + timedelta(days=DUE_WITHIN_DAYS + 1)
    due = Q(latest_at=None, requirement__due_at__lte=soon)
    answered = Q(latest_answer="released")
    unheard = ~answered & ~Q(latest_measured="") & Q(latest_at__lte=at - UNHEARD_FOR)
    slowest = F("requirement__low_bpm") * (1 - CLOSE_TEMPO) - 1
    fastest = F("requirement__high_bpm") * (1 + CLOSE_TEMPO) + 1
    near = Q(latest_complete=True, latest_bpm__gte=slowest, latest_bpm__lte=fastest)
    marked = Q(latest_percent__gte=percent - 100 * CLOSE_MARK)
    close = Q(state=State.BACK_TO_WORK) & answered & near & marked
    return due | unheard | Q(chases_tempo=True) | close


def _is_marked(cell: Any) -> bool:
    return cell.state == State.BACK_TO_WORK and cell.latest_answer == KeptCell.RELEASED


def _facts(
    cell: KeptCell,
    entry: Entry,
    requirement: Requirement,
    marks: tuple[MarkFacts, ...],
    at: datetime,
    percent: int,
) -> CellFacts:
    return CellFacts(
        at=at,
        due_at=entry.due_at(requirement),
        closes_at=entry.closes_at,
        low_bpm=requirement.low_bpm,
        high_bpm=requirement.high_bpm,
        ready_percent=percent,
        entered_today=entry.was_made_on(timezone.localdate(at)),
        record_again=cell.take_count > 0 and cell.latest_at is None,
        take_uploaded_at=cell.latest_at,
        analysis_state=cell.latest_measured,
        complete=cell.latest_complete,
        metronome_bpm=cell.latest_bpm,
        review_state=cell.latest_answer or None,
        marks=marks,
    )


def _requirements(cells: Sequence[KeptCell]) -> dict[int, Requirement]:
    wanted = Requirement.objects.filter(pk__in={cell.requirement_id for cell in cells})
    listed = wanted.select_related("excerpt").defer("excerpt__musicxml")
    return {requirement.pk: requirement for requirement in listed}


def _marks(takes: Sequence[int | None]) -> dict[int | None, list[MarkFacts]]:
    given = Mark.objects.filter(review__take__in=takes).order_by()
    found: dict[int | None, list[MarkFacts]] = defaultdict(list)
    columns = given.values_list("review__take_id", "caption__name", "value", "caption__high")
    for take, name, value, high in columns:
        found[take].append(MarkFacts(name, value, high))
    return found


def _last_takes(cells: Sequence[KeptCell]) -> dict[CellKey, list[Measured]]:
    """The last measured takes that count of each cell, the latest first."""
    wanted = {(cell.entry_id, cell.requirement_id) for cell in cells}
    order = [F("uploaded_at").desc(), F("pk").desc()]
    rank = Window(RowNumber(), partition_by=[F("entry"), F("requirement")], order_by=order)
    takes = Take.objects.filter(entry__in={entry for entry, _ in wanted}).counting()
    ranked = takes.annotate(rank=rank).filter(rank__lte=TAKES_COMPARED).order_by(*order)
    found: dict[CellKey, list[Measured]] = defaultdict(list)
    columns = ("entry_id", "requirement_id", "analysis__metronome_bpm", "analysis__right_share")
    for entry, requirement, bpm, right in cast(list, ranked.values_list(*columns)):
        if bpm is not None:
            found[entry, requirement].append(Measured(bpm, right))
    return {key: takes for key, takes in found.items() if key in wanted}
