"""One take in the numbers it is judged by, and which of an entry's takes of a requirement is sent by default.

Pure: no models, no clock. Times are aware datetimes, tempos in the requirement's beat unit per minute.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

Number = float | Decimal


@dataclass(frozen=True, slots=True)
class Asked:
    """What a take has to keep to."""

    low_bpm: Number
    high_bpm: Number
    closes_at: datetime


@dataclass(frozen=True, slots=True)
class TakeFacts:
    """`counts` tells whether it can be judged; `lowest_percent` is None where a mark is missing.

    `measured` is "", "done" or "failed"; `answer` is "", "released" or "withdrawn"; `right` is the share of
    printed notes played right, 0 to 1.
    """

    pk: int
    at: datetime
    counts: bool = True
    measured: str = ""
    complete: bool | None = None
    bpm: float | None = None
    right: float | None = None
    answer: str = ""
    lowest_percent: int | None = None

    @property
    def is_answered(self) -> bool:
        return self.counts and self.answer == "released"


def lowest_percent(marks: Sequence[tuple[Number | None, Number]]) -> int | None:
    """The whole percent of its caption's top that every mark (value, top) reaches; None without all marks."""
    values = [(value, top) for value, top in marks if value is not None]
    if not marks or len(values) < len(marks):
        return None
    return min(int(100 * Decimal(str(value)) // Decimal(str(top))) for value, top in values)


def is_in_tempo(take: TakeFacts, asked: Asked) -> bool:
    return take.bpm is not None and float(asked.low_bpm) <= take.bpm <= float(asked.high_bpm)


def is_ready(take: TakeFacts, asked: Asked, *, percent: int) -> bool:
    """Whether this take, if it is the one to be sent, is everything that is asked."""
    return (
        take.is_answered
        and take.at <= asked.closes_at
        and take.complete is True
        and is_in_tempo(take, asked)
        and take.lowest_percent is not None
        and take.lowest_percent >= percent
    )


def nearest_to_ready(takes: Sequence[TakeFacts], asked: Asked) -> TakeFacts | None:
    """Of the answered ones, a ready one wherever there is one, whatever percent is asked for."""
    answered = [take for take in takes if take.is_answered]
    return max(answered, key=lambda take: _nearness(take, asked), default=None)


def _nearness(take: TakeFacts, asked: Asked) -> tuple:
    lowest = -1 if take.lowest_percent is None else take.lowest_percent
    in_time = take.at <= asked.closes_at
    return in_time, take.complete is True, is_in_tempo(take, asked), lowest, take.at, take.pk
