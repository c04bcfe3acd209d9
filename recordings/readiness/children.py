"""A guardian's children at a glance: where each stands, what is due next, the last answer."""

from collections.abc import Sequence
from dataclasses import dataclass

from recordings.models import Take
from recordings.readiness.home import Piece, pieces
from recordings.readiness.rows import rows_for
from studio.models import Entry, Student


@dataclass(frozen=True, slots=True)
class Child:
    student: Student
    now: Piece | None  # what is due next
    left: int  # pieces that are neither ready nor over, that one included
    finished: int
    answered: Take | None  # the take answered last


def children_of(students: Sequence[Student]) -> list[Child]:
    """In the same number of queries for many as for one."""
    rows = rows_for(list(Entry.objects.filter(student__in=students).select_related("audition__season")))
    return [
        _child(student, [cell for row in rows if row.entry.student_id == student.pk for cell in row.cells])
        for student in students
    ]


def _child(student: Student, cells: list) -> Child:
    found = pieces(cells, {})
    answers = [cell.answer for cell in cells if cell.answer is not None]
    return Child(
        student,
        now=found.now,
        left=len(found.later) + (found.now is not None),
        finished=len(found.finished),
        answered=max(answers, key=lambda take: take.review.released_at, default=None),
    )
