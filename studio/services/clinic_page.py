"""One evening's bar notes and questions in the order they are printed."""

from dataclasses import dataclass, replace

from django.utils import timezone
from django.utils.formats import date_format
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from repertoire.models import BarNote
from repertoire.paper.music import PrintedNote, music_part, pdf_of, printed_note
from studio.models import Clinic, User
from studio.services.questions import AskedLine, asked_line


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


def hand_out_pdf(clinic: Clinic, *, paper: str) -> bytes:
    """The music with its notes and shared answers beside it, under the evening's day, place and leader."""
    part = music_part(clinic.excerpt, paper=paper, notes=[_on_paper(line) for line in hand_out_lines(clinic)])
    held_at = date_format(timezone.localtime(clinic.held_at), _("l, j F Y, H:i"))
    lines = [f"{held_at}, {clinic.place}, {clinic.leader.name}", *part.lines, *clinic.notes.splitlines()]
    return pdf_of([replace(part, lines=tuple(line for line in lines if line))], paper=paper)


def _on_paper(line: EveningLine) -> PrintedNote:
    if line.note:
        return printed_note(line.note)
    if line.question is None:
        return PrintedNote(capfirst(line.bars_text), "")
    words = {"question": line.question.text, "answer": line.question.answer}
    return PrintedNote(capfirst(line.bars_text), _("Question: %(question)s Answer: %(answer)s") % words)


def _in_print_order(clinic: Clinic, asked: list[AskedLine]) -> list[EveningLine]:
    score = clinic.excerpt.score
    noted = [
        (note.from_bar, EveningLine(note.bars_text, note=note)) for note in clinic.excerpt.bar_notes.all()
    ]
    lines = noted + [(row.from_bar, EveningLine(row.bars_text, question=row)) for row in asked]
    placed = sorted(lines, key=lambda line: score.place_of(line[0]))
    return [line for label, line in placed]
