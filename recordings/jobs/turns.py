"""Whose take is measured next, of all that wait: turns go round between students.

A student's turn is the number of their takes measured within the hour, being measured, or waiting since
earlier: the first of everybody comes before anybody's second, however many one hands in. Among equal turns
those whose audition closes within a day go first, then who has waited longest. Before all of them goes what
a teacher waits for at the desk, which is one take at a time.
"""

from collections import Counter
from datetime import timedelta
from typing import NamedTuple

from django.db.models import Count, F, Q
from django.utils import timezone

from recordings.models import Analysis
from recordings.models.analysis import quiet_since
from studio.models.entry import with_more_time

# Both are choices: what was measured before has been paid for; a day is what a family can still act in.
REMEMBERED = timedelta(hours=1)
CLOSING = timedelta(days=1)


class Waiting(NamedTuple):
    """The line is the order of these."""

    in_the_queue: bool
    turn: int
    closes_later: bool
    created_at: object
    pk: int


def in_line(*, named: int | None = None) -> list[int]:
    """The analyses a worker may try to claim, in their order.

    One that met trouble rests until the sweep sends for it; `named` is the one a message asks for.
    """
    free = Q(state=Analysis.State.WAITING, attempts=0) | Q(heartbeat_at__lt=quiet_since()) | Q(pk=named)
    return [place.pk for place in _line(Analysis.objects.unfinished().filter(free))]


def before(analysis: Analysis) -> int:
    """How many are measured before this waiting one comes to its turn, as things stand."""
    line = _line(Analysis.objects.filter(state=Analysis.State.WAITING))
    running = Analysis.objects.filter(state=Analysis.State.RUNNING).count()
    ahead = next((n for n, place in enumerate(line) if place.pk == analysis.pk), 0)
    return running + ahead


def _line(rows) -> list[Waiting]:
    now = timezone.now()
    entry = "take__entry"
    asked = rows.order_by("created_at", "pk").values_list(
        "pk",
        "created_at",
        "at_desk",
        f"{entry}__student",
        f"{entry}__audition__closes_at",
        f"{entry}__extended_until",
    )
    waiting = list(asked)
    turns = _served(now, besides=[pk for pk, *_rest in waiting])
    line = []
    for pk, created_at, at_desk, student, closing, extended in waiting:
        closes_soon = now <= with_more_time(closing, extended) <= now + CLOSING
        line.append(Waiting(not at_desk, turns[student], not closes_soon, created_at, pk))
        turns[student] += 1
    return sorted(line)


def _served(now, *, besides: list[int]) -> Counter[int]:
    """By student, how many were measured lately or are being measured."""
    recent = Q(finished_at__gt=now - REMEMBERED) | Q(state=Analysis.State.RUNNING)
    students = Analysis.objects.filter(recent).exclude(pk__in=besides)
    rows = students.values(student=F("take__entry__student")).annotate(number=Count("pk"))
    return Counter({row["student"]: row["number"] for row in rows})
