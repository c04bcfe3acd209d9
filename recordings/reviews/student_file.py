"""All there is of one student on a line of time, and which bars settled between answers."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Prefetch

from recordings.models import Mark, Review, Take
from recordings.reviews.answer import groups_of
from repertoire.notation.order.order_line import print_order
from studio.models import Question, Requirement, Student


@dataclass(frozen=True, slots=True)
class FileRow:
    """One thing that happened; its take (with its released answer, if any) or its question comes with it."""

    at: datetime
    kind: str  # "take" or "question"
    pk: int
    take: Take | None = None
    question: Question | None = None

    @property
    def answer(self) -> Review | None:
        review = getattr(self.take, "review", None)
        return review if review is not None and review.is_released else None


@dataclass(frozen=True, slots=True)
class Settling:
    """Bars as text ("3, 7-10") of one requirement: named before and no longer, named again, named newly."""

    requirement: Requirement
    answers: int
    settled: str
    staying: str
    new: str


def moments_of(student: Student) -> list[FileRow]:
    """Every take and question, the latest first, without what they hold."""
    takes = Take.objects.filter(entry__student=student).values_list("uploaded_at", "pk")
    questions = Question.objects.filter(student=student).values_list("asked_at", "pk")
    rows = [FileRow(at, "take", pk) for at, pk in takes] + [
        FileRow(at, "question", pk) for at, pk in questions
    ]
    return sorted(rows, key=lambda row: (row.at, row.kind, row.pk), reverse=True)


def filled(rows: Sequence[FileRow]) -> list[FileRow]:
    """The same rows with their takes and questions, by a number of queries that does not grow."""
    takes = Take.objects.filter(pk__in=[row.pk for row in rows if row.kind == "take"])
    takes = takes.select_related("analysis", "requirement__excerpt", "entry__audition", "review__reviewer")
    takes = takes.defer("analysis__result", "requirement__excerpt__musicxml").prefetch_related(
        Prefetch("review__marks", Mark.objects.select_related("caption")), "review__remarks"
    )
    questions = Question.objects.filter(pk__in=[row.pk for row in rows if row.kind == "question"])
    questions = questions.select_related("excerpt", "answered_by").defer("excerpt__musicxml")
    by_take, by_question = (
        {take.pk: take for take in takes},
        {question.pk: question for question in questions},
    )
    return [
        FileRow(row.at, row.kind, row.pk, take=by_take[row.pk])
        if row.kind == "take"
        else FileRow(row.at, row.kind, row.pk, question=by_question[row.pk])
        for row in rows
    ]


def settling_of(student: Student) -> list[Settling]:
    """Requirements with two answers and more, by what their remarks named; praise names nothing."""
    reviews = (
        Review.objects.released()
        .filter(take__entry__student=student, again="")
        .select_related("take__requirement__excerpt")
        .prefetch_related("remarks")
        .order_by("take__uploaded_at", "take_id")
    )
    answered: dict[Requirement, list[Review]] = defaultdict(list)
    for review in reviews:
        answered[review.take.requirement].append(review)
    return [_settling(requirement, found) for requirement, found in answered.items() if len(found) > 1]


def _settling(requirement: Requirement, reviews: Sequence[Review]) -> Settling:
    score = requirement.excerpt.score
    printed = [measure.number for measure in score.measures]
    named = [_places_named(review, printed) for review in reviews]
    before, latest = set().union(*named[:-1]), named[-1]

    def text(places: set[int]) -> str:
        return print_order(score, sorted(places)) if places else ""

    return Settling(
        requirement, len(reviews), text(before - latest), text(before & latest), text(latest - before)
    )


def _places_named(review: Review, printed: list[str]) -> set[int]:
    groups = [
        group
        for remark in review.shown_remarks
        if not remark.is_strength
        for group in groups_of(remark.bars, printed)
    ]
    return {place for first, last in groups for place in range(printed.index(first), printed.index(last) + 1)}
