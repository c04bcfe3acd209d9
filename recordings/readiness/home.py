"""A student's home: the piece that is next, the others by date, the finished apart."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from recordings.access import may_consent_for
from recordings.jobs.request import play_query
from recordings.models import Review
from recordings.readiness.asked import bars_asked
from recordings.readiness.rows import Cell, rows_for
from recordings.upload.receive import not_agreed
from studio.models import Clinic, Entry, Student, User


@dataclass(frozen=True, slots=True)
class Piece:
    """One cell as a line of the home; `bars` and the audition are named where its title stands twice."""

    cell: Cell
    bars: str
    same_music_twice: bool
    last_words: Review | None = None

    @property
    def play_query(self) -> str:
        return play_query(self.cell.requirement)


@dataclass(frozen=True, slots=True)
class Pieces:
    now: Piece | None
    later: tuple[Piece, ...]
    finished: tuple[Piece, ...]


def music_of(students: Iterable[Student], user: User) -> list[dict]:
    """For each student what is to be played, and what else is new."""
    students = list(students)
    entries = Entry.objects.filter(student__in=students).select_related("student", "audition__season")
    rows = rows_for(list(entries))
    words = _last_words(entries)
    return [
        {
            "student": student,
            "not_agreed": "" if student.may_record else not_agreed(student),
            "may_agree": may_consent_for(user, student),
            "more_time": [
                row.entry for row in rows if row.entry.student_id == student.pk and row.entry.has_more_time
            ],
            "clinics": Clinic.objects.upcoming()
            .inviting([student.pk])
            .select_related("excerpt")
            .defer("excerpt__musicxml"),
            "answers": student.questions.answered_lately()
            .select_related("excerpt")
            .defer("excerpt__musicxml"),
            "pieces": pieces(
                [cell for row in rows if row.entry.student_id == student.pk for cell in row.cells], words
            ),
            "empty_auditions": [
                row.entry.audition
                for row in rows
                if row.entry.student_id == student.pk and not row.cells and not row.entry.is_closed()
            ],
        }
        for student in students
    ]


def pieces(cells: Sequence[Cell], words: dict[tuple[int, int], Review]) -> Pieces:
    """By date; what is due next stands apart, but not where the date has passed and the studio is next."""
    titles = Counter(cell.requirement.excerpt_id for cell in cells)
    ordered = [
        Piece(
            cell,
            bars_asked(cell.requirement),
            titles[cell.requirement.excerpt_id] > 1,
            words.get((cell.entry.pk, cell.requirement.pk)),
        )
        for cell in sorted(cells, key=lambda cell: cell.due_at)
    ]
    open_pieces = [piece for piece in ordered if not piece.cell.is_finished]
    ahead = [piece for piece in open_pieces if piece.cell.days_left >= 0 or not piece.cell.waits_for_others]
    now = next(iter(ahead or open_pieces), None)
    return Pieces(
        now,
        tuple(piece for piece in open_pieces if piece is not now),
        tuple(piece for piece in ordered if piece.cell.is_finished),
    )


def _last_words(entries) -> dict[tuple[int, int], Review]:
    """The latest released review that says something in the teacher's own words, by entry and requirement."""
    reviews = Review.objects.released().filter(take__entry__in=entries).exclude(words="")
    latest_last = reviews.select_related("take", "reviewer").order_by("released_at", "pk")
    return {(review.take.entry_id, review.take.requirement_id): review for review in latest_last}
