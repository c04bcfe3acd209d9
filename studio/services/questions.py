"""What each person reads of what was asked about printed music."""

from dataclasses import dataclass

from django.db.models import Q

from repertoire.models import Excerpt
from studio.models import Clinic, Question, User


@dataclass(frozen=True, slots=True)
class AskedLine:
    """A question as this reader may see it; `pk` is None where only the shared words are theirs to read."""

    pk: int | None
    from_bar: str
    to_bar: str
    bars_text: str
    text: str
    answer: str
    is_shared: bool
    is_open: bool
    may_answer: bool


def leaders_reading(students, excerpt: Excerpt) -> list[str]:
    """Names of those who lead a clinic on this music that one of `students` has accepted."""
    clinics = Clinic.objects.filter(excerpt=excerpt, acceptances__student__in=students)
    return sorted(set(clinics.values_list("leader__name", flat=True)))


def questions_on(excerpt: Excerpt, user: User) -> list[AskedLine]:
    """Questions of this person's own students in full, shared ones of others without a name."""
    theirs = {question.pk for question in excerpt.questions.visible_to(user)}
    rows = excerpt.questions.filter(Q(pk__in=theirs) | Q(is_shared=True, answered_at__isnull=False))
    return [asked_line(question, in_full=question.pk in theirs, staff=user.is_staff) for question in rows]


def asked_line(question: Question, *, in_full: bool, staff: bool = False) -> AskedLine:
    return AskedLine(
        pk=question.pk if in_full else None,
        from_bar=question.from_bar,
        to_bar=question.to_bar or question.from_bar,
        bars_text=question.bars_text,
        text=question.text if in_full else question.shared_words,
        answer=question.answer,
        is_shared=question.is_shared,
        is_open=question.is_open,
        may_answer=in_full and staff,
    )
