"""Where every entry stands with every requirement: kept facts name the takes, `rules` judges them.

Of takes only those that are shown or judged are loaded, at most three of a requirement. The number of queries
is the same for three entries and for three hundred.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Prefetch
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from recordings.models import KeptCell, Mark, Take
from recordings.readiness.rules import CellFacts, MarkFacts, Readiness, SentFacts, State, readiness
from recordings.takes.ready_percent import ready_percent
from recordings.takes.required import requirements_of
from studio.models import Entry, Requirement

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
    due_at: datetime  # the student's own
    days_left: int  # to it, by calendar days; negative once it has passed
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
        return self.state is State.READY or self.entry.is_closed()

    @property
    def waits_for_others(self) -> bool:
        """Whether its player has done what was asked, and the studio is next."""
        return self.state in (State.RECORDED, State.WAITING_FOR_REVIEW)


@dataclass(frozen=True, slots=True)
class Row:
    entry: Entry
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class _Known:
    kept: dict[tuple[int, int], KeptCell]
    takes: dict[int, Take]
    percent: int
    at: datetime


def rows_for(entries: Sequence[Entry], *, at: datetime | None = None) -> list[Row]:
    """One row an entry, one cell a requirement it carries, in the order of the requirements' deadlines.

    `entries` should come with `student` and `audition` loaded.
    """
    required = requirements_of(entries)
    known = _known(KeptCell.objects.filter(entry__in=[entry.pk for entry in entries]), at)
    return [
        Row(
            entry,
            tuple(
                _cell(entry, requirement, known)
                for requirement in required[entry.audition_id, entry.instrument, entry.level]
            ),
        )
        for entry in entries
    ]


def cell_for(entry: Entry, requirement: Requirement, *, at: datetime | None = None) -> Cell:
    """The one cell of `entry` and one of its requirements."""
    return _cell(
        entry, requirement, _known(KeptCell.objects.filter(entry=entry, requirement=requirement), at)
    )


def _known(cells: Iterable[KeptCell], at: datetime | None) -> _Known:
    kept = {(cell.entry_id, cell.requirement_id): cell for cell in cells}
    wanted = {pk for cell in kept.values() for pk in (cell.latest_id, cell.answered_id, cell.to_send_id)}
    given = Mark.objects.select_related("caption").only("review", "value", "caption__name", "caption__high")
    takes = (
        Take.objects.filter(pk__in=filter(None, wanted))
        .select_related("analysis", "review")
        .defer("analysis__result", "review__words")
        .prefetch_related(Prefetch("review__marks", given.order_by("caption__position", "caption_id")))
    )
    return _Known(kept, {take.pk: take for take in takes}, ready_percent(), at or timezone.now())


def _cell(entry: Entry, requirement: Requirement, known: _Known) -> Cell:
    kept = known.kept.get((entry.pk, requirement.pk)) or KeptCell()
    due_at = entry.due_at(requirement)
    days_left = (timezone.localdate(due_at) - timezone.localdate(known.at)).days
    standing = readiness(_facts(entry, requirement, kept, known))
    latest, answer = known.takes.get(kept.latest_id or 0), known.takes.get(kept.answered_id or 0)
    return Cell(entry, requirement, latest, kept.take_count, standing, due_at, days_left, answer)


def _facts(entry: Entry, requirement: Requirement, kept: KeptCell, known: _Known) -> CellFacts:
    # One that has been removed since the cell was read is none.
    latest = known.takes.get(kept.latest_id or 0) if kept.latest_at else None
    analysis, review = getattr(latest, "analysis", None), getattr(latest, "review", None)
    return CellFacts(
        at=known.at,
        due_at=entry.due_at(requirement),
        closes_at=entry.closes_at,
        low_bpm=requirement.low_bpm,
        high_bpm=requirement.high_bpm,
        ready_percent=known.percent,
        entered_today=entry.was_made_on(timezone.localdate(known.at)),
        record_again=kept.take_count > 0 and latest is None,
        take_uploaded_at=latest.uploaded_at if latest else None,
        analysis_state=analysis.state if analysis else None,
        complete=analysis.complete if analysis else None,
        metronome_bpm=analysis.metronome_bpm if analysis else None,
        review_state=review.state if review else None,
        marks=_marks(review),
        older_review_released=_older_answer(kept),
        to_send=_sent(kept, known),
    )


def _older_answer(kept: KeptCell) -> bool:
    return kept.sent_is_answered and kept.to_send_id != kept.latest_id


def _sent(kept: KeptCell, known: _Known) -> SentFacts | None:
    take = known.takes.get(kept.to_send_id or 0)
    if take is None or kept.to_send_id == kept.latest_id:
        return None
    analysis, review = getattr(take, "analysis", None), getattr(take, "review", None)
    return SentFacts(
        uploaded_at=take.uploaded_at,
        chosen=kept.is_chosen,
        answered=review is not None and review.is_released,
        complete=analysis.complete if analysis else None,
        metronome_bpm=analysis.metronome_bpm if analysis else None,
        marks=_marks(review),
    )


def _marks(review) -> tuple[MarkFacts, ...]:
    if review is None:
        return ()
    return tuple(MarkFacts(mark.caption.name, mark.value, mark.caption.high) for mark in review.marks.all())
