"""Where every entry stands with every requirement: facts gathered from rows, judged by `rules`.

Nothing here is stored. The number of queries is the same for three entries and for three hundred.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Prefetch
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from recordings.models import Mark, Take
from recordings.readiness.rules import CellFacts, MarkFacts, Readiness, State, readiness
from recordings.takes.required import requirements_of
from studio.models import Entry, Requirement, Studio

STATE_WORDS = {
    State.NOTHING_YET: _("nothing yet"),
    State.RECORDED: _("recorded"),
    State.WAITING_FOR_REVIEW: _("waiting for review"),
    State.BACK_TO_WORK: _("keep practising"),
    State.READY: _("ready"),
    State.OVERDUE: _("overdue"),
}


@dataclass(frozen=True, slots=True)
class Cell:
    """One requirement of one entry and its latest take, whose analysis comes without the result."""

    entry: Entry
    requirement: Requirement
    take: Take | None
    take_count: int
    readiness: Readiness
    days_left: int  # to the internal deadline, by calendar days; negative once it has passed
    answer: Take | None = None  # the latest take with a released review

    @property
    def state(self) -> State:
        return self.readiness.state

    @property
    def state_words(self) -> str:
        return str(STATE_WORDS[self.readiness.state])

    @property
    def days_late(self) -> int:
        return max(0, -self.days_left)

    @property
    def has_new_answer(self) -> bool:
        return self.answer is not None and self.answer.review.is_new

    @property
    def is_finished(self) -> bool:
        return self.state is State.READY or self.entry.audition.is_closed()

    @property
    def waits_for_others(self) -> bool:
        """Whether its player has done what was asked, and the studio is next."""
        return self.state in (State.RECORDED, State.WAITING_FOR_REVIEW)


@dataclass(frozen=True, slots=True)
class Row:
    entry: Entry
    cells: tuple[Cell, ...]


def rows_for(entries: Sequence[Entry], *, at: datetime | None = None) -> list[Row]:
    """One row an entry, one cell a requirement it carries, in the order of the requirements' deadlines.

    `entries` should come with `student` and `audition` loaded.
    """
    now = at or timezone.now()
    required = requirements_of(entries)
    takes = _takes_of(entries)
    percent = Studio.current().ready_percent
    return [
        Row(
            entry,
            tuple(
                _cell(entry, requirement, takes[entry.pk, requirement.pk], percent=percent, at=now)
                for requirement in required[entry.audition_id, entry.instrument, entry.level]
            ),
        )
        for entry in entries
    ]


def cell_for(entry: Entry, requirement: Requirement, *, at: datetime | None = None) -> Cell:
    """The one cell of `entry` and one of its requirements."""
    takes = _takes_of([entry])[entry.pk, requirement.pk]
    percent = Studio.current().ready_percent
    return _cell(entry, requirement, takes, percent=percent, at=at or timezone.now())


def count_states(rows: Iterable[Row]) -> dict[State, int]:
    """How many cells are in each state, all states named, in the order they are usually passed through."""
    counted = Counter(cell.state for row in rows for cell in row.cells)
    return {state: counted[state] for state in STATE_WORDS}


def _takes_of(entries: Sequence[Entry]) -> dict[tuple, list[Take]]:
    """Takes by (entry, requirement), latest first, with analysis, review and its marks."""
    marks = Prefetch("review__marks", Mark.objects.select_related("caption"))
    takes = (
        Take.objects.filter(entry__in=[entry.pk for entry in entries])
        .select_related("analysis", "review")
        .defer("analysis__result", "review__words")
        .prefetch_related(marks)
        .order_by("-uploaded_at", "-pk")
    )
    grouped: dict[tuple, list[Take]] = defaultdict(list)
    for take in takes:
        grouped[take.entry_id, take.requirement_id].append(take)
    return grouped


def _that_can_be_judged(takes: list[Take]) -> list[Take]:
    """A recording nothing can be made of neither is the latest take nor unmakes an earlier one."""
    return [take for take in takes if not take.is_to_be_recorded_again]


def _cell(entry: Entry, requirement: Requirement, takes: list[Take], *, percent: int, at: datetime) -> Cell:
    facts = _facts(entry, requirement, takes, percent=percent, at=at)
    days_left = (timezone.localdate(requirement.due_at) - timezone.localdate(at)).days
    judged = _that_can_be_judged(takes)
    latest = judged[0] if judged else takes[0] if takes else None
    answer = next((take for take in takes if _is_released(take)), None)
    return Cell(entry, requirement, latest, len(takes), readiness(facts), days_left, answer)


def _facts(
    entry: Entry, requirement: Requirement, takes: list[Take], *, percent: int, at: datetime
) -> CellFacts:
    asked: dict[str, Any] = {
        "at": at,
        "due_at": requirement.due_at,
        "closes_at": entry.audition.closes_at,
        "low_bpm": requirement.low_bpm,
        "high_bpm": requirement.high_bpm,
        "ready_percent": percent,
        "entered_today": entry.was_made_on(timezone.localdate(at)),
    }
    judged = _that_can_be_judged(takes)
    if not judged:
        return CellFacts(**asked, record_again=bool(takes))
    latest = judged[0]
    analysis, review = getattr(latest, "analysis", None), getattr(latest, "review", None)
    return CellFacts(
        **asked,
        take_uploaded_at=latest.uploaded_at,
        analysis_state=analysis.state if analysis else None,
        complete=analysis.complete if analysis else None,
        metronome_bpm=analysis.metronome_bpm if analysis else None,
        review_state=review.state if review else None,
        marks=_marks(review),
        older_review_released=any(_is_released(take) for take in judged[1:]),
    )


def _marks(review) -> tuple[MarkFacts, ...]:
    if review is None:
        return ()
    return tuple(MarkFacts(mark.caption.name, mark.value, mark.caption.high) for mark in review.marks.all())


def _is_released(take: Take) -> bool:
    review = getattr(take, "review", None)
    return review is not None and review.is_released
