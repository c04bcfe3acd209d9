"""What stands beside the demo's music and takes: bar notes, questions, one clinic, phrases for remarks."""

from datetime import timedelta

from recordings.demo.plan import Calendar
from recordings.models import Phrase
from repertoire.models import BarNote, Excerpt
from studio.models import Clinic, Question, Student, User

ANSWERED_AFTER = timedelta(hours=20)


def load_beside(
    plan: dict,
    people: dict[str, User],
    students: dict[str, Student],
    excerpts: dict[str, Excerpt],
    calendar: Calendar,
) -> None:
    for row in plan["bar_notes"]:
        _bar_note(row, excerpts[row["excerpt"]], people[row["author"]], calendar)
    for row in plan["questions"]:
        _question(row, excerpts[row["excerpt"]], students[row["student"]], calendar)
    for row in plan["clinics"]:
        _clinic(row, excerpts[row["excerpt"]], people[row["leader"]], calendar)
    for row in plan["phrases"]:
        owner = people[row["owner"]] if row["owner"] else None
        Phrase.objects.create(owner=owner, topic=row["topic"], text=row["text"])


def _bar_note(row: dict, excerpt: Excerpt, author: User, calendar: Calendar) -> None:
    from_bar, to_bar = row["bars"]
    note = BarNote(
        excerpt=excerpt,
        kind=row["kind"],
        from_bar=from_bar,
        to_bar=to_bar,
        text=row["text"],
        author=author,
        created_at=calendar.at(row["day"]),
    )
    note.full_clean()
    note.save()


def _question(row: dict, excerpt: Excerpt, student: Student, calendar: Calendar) -> None:
    from_bar, to_bar = row["bars"]
    question = Question(
        student=student,
        excerpt=excerpt,
        from_bar=from_bar,
        to_bar=to_bar,
        text=row["text"],
        asked_by=student.user,
        asked_at=calendar.at(row["day"]),
        answer=row.get("answer", ""),
        is_shared="shared" in row,
        shared_text=row.get("shared", ""),
    )
    if question.answer:
        question.answered_by = student.teacher
        question.answered_at = question.asked_at + ANSWERED_AFTER
    question.full_clean()
    question.save()


def _clinic(row: dict, excerpt: Excerpt, leader: User, calendar: Calendar) -> None:
    Clinic.objects.create(
        excerpt=excerpt,
        leader=leader,
        held_at=calendar.at(row["day"], row["hour"]),
        place=row["place"],
        notes=row["notes"],
    )
