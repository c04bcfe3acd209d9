"""What a `KeptCell` holds, made from all takes of a cell, and readiness asked of it in the database.

`facts` is pure. `with_state` says in the database's words what `rules` says of one cell; a test holds them
together over everything that can change either.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Case, CharField, Count, F, Q, QuerySet, Value, When
from django.utils import timezone

from recordings.models import KeptCell
from recordings.readiness.rules import State
from recordings.readiness.week_rules import TAKES_COMPARED, Measured, chases_tempo
from recordings.takes.ready_percent import ready_percent
from recordings.takes.to_send import Asked, TakeFacts, nearest_to_ready
from studio.models import Entry


def facts(takes: Sequence[TakeFacts], asked: Asked, *, chosen: int | None) -> dict:
    """The fields of a `KeptCell`; `takes` come latest first, `chosen` is the take a person chose to send."""
    counting = [take for take in takes if take.counts]
    latest = counting[0] if counting else None
    by_choice = next((take for take in counting if take.pk == chosen), None)
    to_send = by_choice or nearest_to_ready(counting, asked)
    shown = latest or (takes[0] if takes else None)
    answered = next((take for take in takes if take.answer == "released"), None)
    measured = [Measured(take.bpm, take.right) for take in counting[:TAKES_COMPARED] if take.bpm is not None]
    return {
        "take_count": len(takes),
        "last_at": takes[0].at if takes else None,
        "latest_id": shown.pk if shown else None,
        "answered_id": answered.pk if answered else None,
        "to_send_id": to_send.pk if to_send else None,
        "is_chosen": by_choice is not None,
        "latest_at": latest.at if latest else None,
        "latest_measured": latest.measured if latest else "",
        "latest_answer": latest.answer if latest else "",
        "latest_complete": latest.complete if latest else None,
        "latest_bpm": latest.bpm if latest else None,
        "latest_percent": latest.lowest_percent if latest else None,
        "sent_at": to_send.at if to_send else None,
        "sent_is_answered": to_send is not None and to_send.is_answered,
        "sent_complete": to_send.complete if to_send else None,
        "sent_bpm": to_send.bpm if to_send else None,
        "sent_percent": to_send.lowest_percent if to_send else None,
        "chases_tempo": chases_tempo(measured),
    }


def with_state(cells: QuerySet[KeptCell], *, at: datetime, percent: int) -> QuerySet[Any]:
    """Adds `state`; the first case that holds is the one."""
    today = timezone.localtime(at).replace(hour=0, minute=0, second=0, microsecond=0)
    entered_today = Q(entry__made_at__gte=today, entry__made_at__lt=_next_day(today))
    no_more_time = Q(entry__extended_until=None) | Q(entry__extended_until__lt=at)
    is_closed = Q(entry__audition__closes_at__lt=at) & no_more_time
    is_late = Q(requirement__due_at__lt=at) & no_more_time
    without, unanswered = Q(latest_at=None), ~Q(latest_answer="released")
    state = Case(
        When(_is_ready(percent), then=Value(State.READY)),
        When(is_closed, then=Value(State.OVERDUE)),
        When(without & is_late & Q(take_count__gt=0), then=Value(State.OVERDUE)),
        When(without & is_late & ~entered_today, then=Value(State.OVERDUE)),
        When(without & Q(take_count__gt=0), then=Value(State.BACK_TO_WORK)),
        When(without, then=Value(State.NOTHING_YET)),
        When(unanswered & Q(latest_measured=""), then=Value(State.RECORDED)),
        When(unanswered, then=Value(State.WAITING_FOR_REVIEW)),
        When(is_chosen=True, sent_is_answered=False, then=Value(State.WAITING_FOR_REVIEW)),
        default=Value(State.BACK_TO_WORK),
        output_field=CharField(),
    )
    return cells.annotate(state=state)


def cells_now(*, at: datetime | None = None) -> QuerySet[Any]:
    """All cells with their state, by the studio's threshold."""
    return with_state(KeptCell.objects.all(), at=at or timezone.now(), percent=ready_percent())


def count_states(entries: QuerySet[Entry]) -> dict[State, int]:
    """How many cells are in each state, all states named, in the order they are usually passed through."""
    cells = cells_now().filter(entry__in=entries.order_by().values("pk"))
    found = dict(cells.order_by().values_list("state").annotate(number=Count("pk")))
    return {state: found.get(state, 0) for state in State}


def _is_ready(percent: int) -> Q:
    in_time = Q(sent_at__lte=F("entry__audition__closes_at")) | Q(sent_at__lte=F("entry__extended_until"))
    return in_time & Q(
        sent_is_answered=True,
        sent_complete=True,
        sent_bpm__gte=F("requirement__low_bpm"),
        sent_bpm__lte=F("requirement__high_bpm"),
        sent_percent__gte=percent,
    )


def _next_day(day: datetime) -> datetime:
    """Midnight of the day after, also where the clock changes between."""
    after = (day + timedelta(days=1)).date()
    return timezone.make_aware(datetime.combine(after, day.time()))
