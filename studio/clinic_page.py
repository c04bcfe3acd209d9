"""One evening's bar notes and questions in the order they are printed."""

from dataclasses import dataclass

from repertoire.models import BarNote
from studio.asking import AskedLine, asked_line
from studio.models import Clinic, User


@dataclass(frozen=True, slots=True)
class EveningLine:
    bars_text: str
    note: BarNote | None = None
    question: AskedLine | None = None


def evening(clinic: Clinic, user: User) -> list[EveningLine]:
    """All notes, the questions this person may read in full, and those shared with all."""
    theirs = {question.pk for question in clinic.questions.visible_to(user)}
    shared = set(clinic.excerpt.questions.shared().values_list("pk", flat=True))
    rows = clinic.excerpt.questions.filter(pk__in=theirs | shared)
    asked = [asked_line(row, in_full=row.pk in theirs, staff=user.is_staff) for row in rows]
    return _in_print_order(clinic, asked)


def hand_out_lines(clinic: Clinic) -> list[EveningLine]:
    """What everyone may take home: a question stands on it only in the words shared with all."""
    asked = [asked_line(row, in_full=False) for row in clinic.excerpt.questions.shared()]
    return _in_print_order(clinic, asked)


def _in_print_order(clinic: Clinic, asked: list[AskedLine]) -> list[EveningLine]:
    labels = [measure.number for measure in clinic.excerpt.score.measures]
    noted = [
        (note.from_bar, EveningLine(note.bars_text, note=note)) for note in clinic.excerpt.bar_notes.all()
    ]
    lines = noted + [(row.from_bar, EveningLine(row.bars_text, question=row)) for row in asked]
    beyond = len(labels)
    placed = sorted(lines, key=lambda line: labels.index(line[0]) if line[0] in labels else beyond)
    return [line for _, line in placed]
