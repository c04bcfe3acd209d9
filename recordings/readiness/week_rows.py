"""The facts of `week_rules`, gathered from rows in a constant number of queries.

Of takes only numbers are read, of each student and requirement the last three that count; what stands in a
whole analysis only of those whose tempo rises.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, time
from typing import Any, cast

from django.db.models import F, Max, QuerySet, Window
from django.db.models.functions import RowNumber
from django.utils import timezone

from recordings.access import entries_of_staff
from recordings.models import Mark, Take
from recordings.readiness.rules import CellFacts, MarkFacts, State, state_of
from recordings.readiness.week_rules import (
    TAKES_COMPARED,
    Measured,
    Need,
    StudentFacts,
    cell_need,
    student_need,
)
from recordings.takes.required import requirements_of
from studio.models import Entry, Invitation, Requirement, Role, Student, Studio, User

CellKey = tuple[int, int]  # entry and requirement
_CELL = ("entry", "requirement")


@dataclass(frozen=True, slots=True)
class NeedyCell:
    need: Need
    entry: Entry
    requirement: Requirement
    facts: CellFacts
    take_id: int | None
    takes: tuple[Measured, ...]  # the latest first


@dataclass(frozen=True, slots=True)
class NeedyStudent:
    need: Need
    student: Student
    facts: StudentFacts


@dataclass(frozen=True, slots=True)
class _Played:
    """One take that counts, in the numbers that are judged."""

    pk: int
    uploaded_at: datetime
    state: str | None
    complete: bool | None
    bpm: float | None
    right: float | None
    review_state: str | None


@dataclass(frozen=True, slots=True)
class _Known:
    """Everything read of takes and of what was answered."""

    played: dict[CellKey, list[_Played]]
    last_at: dict[CellKey, datetime]
    marks: dict[int, list[MarkFacts]]
    ready_percent: int


def needs_of(user: User, at: datetime) -> tuple[list[NeedyCell], list[NeedyStudent]]:
    """What needs a person, of the entries this person looks after whose auditions are still open."""
    listed = entries_of_staff(user).filter(audition__closes_at__gte=at)
    entries = list(listed.select_related("student", "audition__season"))
    known = _Known(_played(listed), _last_at(listed), _marks(listed), Studio.current().ready_percent)
    facts = {
        (entry.pk, requirement.pk): (entry, requirement, _cell_facts(entry, requirement, known, at))
        for entry, requirement in _cells(entries)
    }
    cells = list(_needy_cells(facts, known, at))
    return cells, list(_needy_students(entries, facts, cells, known, at))


def _cells(entries: Sequence[Entry]) -> Iterator[tuple[Entry, Requirement]]:
    required = requirements_of(entries)
    for entry in entries:
        for requirement in required[entry.audition_id, entry.instrument, entry.level]:
            yield entry, requirement


def _played(entries: QuerySet[Entry]) -> dict[CellKey, list[_Played]]:
    """The last takes that count of each cell, the latest first."""
    order = [F("uploaded_at").desc(), F("pk").desc()]
    rank = Window(RowNumber(), partition_by=[F("entry"), F("requirement")], order_by=order)
    takes = Take.objects.filter(entry__in=entries.order_by().values("pk")).counting()
    columns = takes.annotate(rank=rank).filter(rank__lte=TAKES_COMPARED).order_by(*order)
    found: dict[CellKey, list[_Played]] = defaultdict(list)
    for entry, requirement, *facts in columns.values_list(
        "entry_id",
        "requirement_id",
        "pk",
        "uploaded_at",
        "analysis__state",
        "analysis__complete",
        "analysis__metronome_bpm",
        "analysis__right_share",
        "review__state",
    ):
        found[entry, requirement].append(_Played(*cast(list[Any], facts)))
    return found


def _last_at(entries: QuerySet[Entry]) -> dict[CellKey, datetime]:
    """When anything was last handed in, also what cannot be judged."""
    takes = Take.objects.filter(entry__in=entries.order_by().values("pk")).order_by()
    latest = takes.values("entry", "requirement").annotate(at=Max("uploaded_at"))
    return {(entry, requirement): at for entry, requirement, at in latest.values_list(*_CELL, "at")}


def _marks(entries: QuerySet[Entry]) -> dict[int, list[MarkFacts]]:
    """Those of released answers to the latest takes, by take."""
    latest = Take.objects.filter(entry__in=entries.order_by().values("pk")).latest_counting()
    given = Mark.objects.filter(review__state="released", review__take__in=latest.order_by().values("pk"))
    found: dict[int, list[MarkFacts]] = defaultdict(list)
    columns = given.values_list("review__take_id", "caption__name", "value", "caption__high")
    for take, name, value, high in columns:
        found[take].append(MarkFacts(name, value, high))
    return found


def _cell_facts(entry: Entry, requirement: Requirement, known: _Known, at: datetime) -> CellFacts:
    key = entry.pk, requirement.pk
    asked: dict[str, Any] = {
        "at": at,
        "due_at": requirement.due_at,
        "closes_at": entry.audition.closes_at,
        "low_bpm": requirement.low_bpm,
        "high_bpm": requirement.high_bpm,
        "ready_percent": known.ready_percent,
    }
    if not known.played.get(key):
        entered_today = entry.was_made_on(timezone.localdate(at))
        return CellFacts(**asked, record_again=key in known.last_at, entered_today=entered_today)
    latest = known.played[key][0]
    return CellFacts(
        **asked,
        take_uploaded_at=latest.uploaded_at,
        analysis_state=latest.state,
        complete=latest.complete,
        metronome_bpm=latest.bpm,
        review_state=latest.review_state,
        marks=tuple(known.marks.get(latest.pk, ())),
    )


Facts = dict[CellKey, tuple[Entry, Requirement, CellFacts]]


def _needy_cells(facts: Facts, known: _Known, at: datetime) -> Iterator[NeedyCell]:
    today = timezone.localdate(at)
    asked = {requirement.pk: requirement.due_at for _, requirement, _ in facts.values()}
    due_on = {pk: timezone.localdate(due_at) for pk, due_at in asked.items()}
    for key, (entry, requirement, standing) in facts.items():
        played = known.played.get(key, ())
        takes = tuple(Measured(take.bpm, take.right) for take in played if take.bpm is not None)
        days_left = (due_on[requirement.pk] - today).days
        need = cell_need(standing, days_left=days_left, takes=takes)
        if need:
            yield NeedyCell(need, entry, requirement, standing, played[0].pk if played else None, takes)


def _needy_students(
    entries: Sequence[Entry], facts: Facts, cells: Sequence[NeedyCell], known: _Known, at: datetime
) -> Iterator[NeedyStudent]:
    told = {cell.entry.student_id for cell in cells if cell.need in (Need.OVERDUE, Need.DUE)}
    invited = _unanswered_invitations(entries)
    last_at: dict[int, datetime] = {}
    practising: set[int] = set()
    since: dict[int, datetime] = {}
    for key, (entry, _, standing) in facts.items():
        student = entry.student_id
        if key in known.last_at:
            last_at[student] = max(known.last_at[key], last_at.get(student, known.last_at[key]))
        if state_of(standing) in (State.NOTHING_YET, State.BACK_TO_WORK, State.OVERDUE):
            practising.add(student)
            since[student] = min(_could_begin(entry), since.get(student, at))
    for student in _with_facts(entries):
        gathered = StudentFacts(
            at=at,
            may_record=not student.is_minor or student.consent_stands,
            practising=student.pk in practising,
            told=student.pk in told,
            since=since.get(student.pk, at),
            last_take_at=last_at.get(student.pk),
            has_guardian=student.has_guardian,
            guardian_invited_at=invited.get((student.pk, Role.GUARDIAN)),
            has_account=student.user_id is not None,
            student_invited_at=invited.get((student.pk, Role.STUDENT)),
        )
        need = student_need(gathered)
        if need:
            yield NeedyStudent(need, student, gathered)


def _could_begin(entry: Entry) -> datetime:
    """From when a take could have come: the season had begun and the entry was made."""
    begin = timezone.make_aware(datetime.combine(entry.audition.season.starts_on, time.min))
    return max(begin, entry.made_at or begin)


def _with_facts(entries: Sequence[Entry]) -> Iterator[Any]:
    yield from Student.objects.filter(pk__in={entry.student_id for entry in entries}).with_account_facts()


def _unanswered_invitations(entries: Sequence[Entry]) -> dict[tuple[int, str], datetime]:
    """When each student and guardian was last invited who has not come, run out or not."""
    waiting = Invitation.objects.filter(
        student__in={entry.student_id for entry in entries}, used_at=None, withdrawn_at=None
    )
    latest = waiting.order_by().values("student", "role").annotate(at=Max("invited_at"))
    return {(student, role): at for student, role, at in latest.values_list("student", "role", "at")}
