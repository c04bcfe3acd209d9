"""Everything `week_rules` judges, gathered from rows in a constant number of queries."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, time
from typing import Any

from django.db.models import Count, Max, Q, QuerySet
from django.utils import timezone

from recordings.access import entries_of_staff
from recordings.models import KeptCell
from recordings.readiness.kept import with_state
from recordings.readiness.rules import State
from recordings.readiness.week_cells import NeedyCell, needy_cells
from recordings.readiness.week_rules import Need, StudentFacts, student_need
from recordings.takes.ready_percent import ready_percent
from studio.models import Audition, Entry, Invitation, Role, Student, User

PRACTISING = (State.NOTHING_YET, State.BACK_TO_WORK, State.OVERDUE)


@dataclass(frozen=True, slots=True)
class NeedyStudent:
    need: Need
    student: Student
    facts: StudentFacts


@dataclass(frozen=True, slots=True)
class _Practice:
    """Of one student: whether something is theirs to do next, since when it could be, and their last take."""

    practising: bool
    since: datetime
    last_at: datetime | None


def needs_of(user: User, at: datetime) -> tuple[list[NeedyCell], list[NeedyStudent]]:
    """What needs a person, of the entries this person looks after whose auditions are still open."""
    listed = entries_of_staff(user).open(at)
    students = _with_facts(listed)
    entries = _entries(listed, students)
    percent = ready_percent()
    mine = KeptCell.objects.filter(entry__in=listed.order_by().values("pk"))
    cells = with_state(mine, at=at, percent=percent)
    needy = list(needy_cells(cells, entries, at=at, percent=percent))
    return needy, list(_needy_students(students, _practice(cells, entries, at), needy, at))


def _entries(listed: QuerySet[Entry], students: dict[int, Any]) -> dict[int, Entry]:
    """With the student; those of one audition share it."""
    auditions = Audition.objects.filter(pk__in=listed.order_by().values("audition")).select_related("season")
    shared = {audition.pk: audition for audition in auditions}
    rows = listed.order_by("pk").only("audition", "student", "made_at", "extended_until")
    entries = {entry.pk: entry for entry in rows}
    for entry in entries.values():
        entry.audition, entry.student = shared[entry.audition_id], students[entry.student_id]
    return entries


def _practice(cells: QuerySet[KeptCell], entries: dict[int, Entry], at: datetime) -> dict[int, _Practice]:
    """By student."""
    open_cells = Count("pk", filter=Q(state__in=PRACTISING))
    counted = cells.order_by().values_list("entry").annotate(open=open_cells, last_at=Max("last_at"))
    found = {entry.student_id: _Practice(False, at, None) for entry in entries.values()}
    for pk, open_count, last_at in counted:
        entry = entries[pk]
        before = found[entry.student_id]
        found[entry.student_id] = _Practice(
            before.practising or open_count > 0,
            min(before.since, _could_begin(entry)) if open_count else before.since,
            max(filter(None, (before.last_at, last_at)), default=None),
        )
    return found


def _needy_students(
    students: dict[int, Any], practice: dict[int, _Practice], cells: Sequence[NeedyCell], at: datetime
) -> Iterator[NeedyStudent]:
    told = {cell.entry.student_id for cell in cells if cell.need in (Need.OVERDUE, Need.DUE)}
    invited = _unanswered_invitations(practice)
    for student in students.values():
        done = practice[student.pk]
        gathered = StudentFacts(
            at=at,
            may_record=not student.is_minor or student.consent_stands,
            practising=done.practising,
            told=student.pk in told,
            since=done.since,
            last_take_at=done.last_at,
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


def _with_facts(listed: QuerySet[Entry]) -> dict[int, Any]:
    entered = Student.objects.filter(pk__in=listed.order_by().values("student"))
    return {student.pk: student for student in entered.with_account_facts()}


def _unanswered_invitations(students: dict[int, _Practice]) -> dict[tuple[int, str], datetime]:
    """When each student and guardian was last invited who has not come, run out or not."""
    waiting = Invitation.objects.filter(student__in=students, used_at=None, withdrawn_at=None)
    latest = waiting.order_by().values("student", "role").annotate(at=Max("invited_at"))
    return {(student, role): at for student, role, at in latest.values_list("student", "role", "at")}
