"""What needs a person this week, judged from facts: no models, no clock, no words.

A cell (one requirement of one student) has at most one need, the most pressing; so has a student for what
is no matter of one requirement. Days are counted as the studio's calendar does where a date is meant, by
the clock where waiting is. Where a figure has no source beside it, it is a choice, no published source.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from enum import StrEnum
from itertools import pairwise

from recordings.readiness.rules import MEASURED, CellFacts, MarkFacts, State

DUE_WITHIN_DAYS = 7
UNANSWERED_AFTER = timedelta(days=3)
WITHOUT_A_TAKE_FOR = timedelta(days=10)
UNHEARD_FOR = timedelta(days=3)
TAKES_COMPARED = 3
# Both well clear of what the measuring itself is off by (README, "How well"): tempo 3.1 % at worst.
CHASING_FASTER = 0.04  # of the first of the three tempos
CHASING_FEWER_RIGHT = 0.04  # of the printed notes
CLOSE_MARK = 0.1  # of a caption's top mark
CLOSE_TEMPO = 0.05  # of the bound that is missed


class Need(StrEnum):
    """In the order in which they are told."""

    DELETION = "deletion"
    OVERDUE = "overdue"
    DUE = "due"
    AGREEMENT = "agreement"
    INVITATION = "invitation"
    UNHEARD = "unheard"
    SILENT = "silent"
    CHASING = "chasing"
    CLOSE = "close"


@dataclass(frozen=True, slots=True)
class Measured:
    """One take that counts: its tempo and the share of printed notes played right, 0 to 1."""

    bpm: float
    right: float | None = None


@dataclass(frozen=True, slots=True)
class StudentFacts:
    """One student entered for auditions that are still open.

    `practising` tells that some requirement is the student's to do next; `told` that a deadline of theirs is
    told already. `last_take_at` is None where no take was ever handed in; `since` is then the moment from
    which one could have been. `invited_at` is that of the latest invitation that nobody took up, if any, to
    a guardian, or to the student.
    """

    at: datetime
    may_record: bool
    practising: bool
    told: bool
    since: datetime
    last_take_at: datetime | None = None
    has_guardian: bool = False
    guardian_invited_at: datetime | None = None
    has_account: bool = True
    student_invited_at: datetime | None = None


def cell_need(
    facts: CellFacts, *, state: State, days_left: int, takes: Sequence[Measured] = ()
) -> Need | None:
    """`takes` are the measured ones that count, the latest first; `days_left` to the internal deadline."""
    if facts.at > facts.closes_at:
        return None
    if facts.take_uploaded_at is None:
        return _without_a_take(facts, state, days_left)
    if _waits_for_an_ear(facts) and facts.at - facts.take_uploaded_at >= UNHEARD_FOR:
        return Need.UNHEARD
    if state is not State.READY and chases_tempo(takes):
        return Need.CHASING
    return Need.CLOSE if state is State.BACK_TO_WORK and is_close(facts) else None


def _without_a_take(facts: CellFacts, state: State, days_left: int) -> Need | None:
    if state is State.OVERDUE:
        return Need.OVERDUE
    return Need.DUE if facts.at <= facts.due_at and days_left <= DUE_WITHIN_DAYS else None


def _waits_for_an_ear(facts: CellFacts) -> bool:
    """Also where an earlier take is ready: whoever hands in once more gets an answer."""
    return facts.analysis_state in MEASURED and facts.review_state != "released"


def _gets_faster(takes: Sequence[Measured]) -> bool:
    """Whether each of the last three takes was faster than the one before, and clearly so in all."""
    tempos = [take.bpm for take in reversed(takes[:TAKES_COMPARED])]
    if len(tempos) < TAKES_COMPARED or any(later <= earlier for earlier, later in pairwise(tempos)):
        return False
    return tempos[-1] >= tempos[0] * (1 + CHASING_FASTER)


def chases_tempo(takes: Sequence[Measured]) -> bool:
    """Faster each time over three takes, while fewer notes are right each time."""
    shares = [take.right for take in reversed(takes[:TAKES_COMPARED]) if take.right is not None]
    if not _gets_faster(takes) or len(shares) < TAKES_COMPARED:
        return False
    falls = all(later < earlier for earlier, later in pairwise(shares))
    return falls and shares[0] - shares[-1] >= CHASING_FEWER_RIGHT


def is_close(facts: CellFacts) -> bool:
    """Whether one thing alone is missing, and by little: one mark, or the tempo."""
    if not facts.complete or facts.metronome_bpm is None or not facts.marks:
        return False
    if any(mark.value is None for mark in facts.marks):
        return False
    short = [by for mark in facts.marks if (by := _short_by(mark, facts.ready_percent)) > 0]
    tempo_off = _tempo_off(facts)
    if not short:
        return 0 < tempo_off <= CLOSE_TEMPO
    return tempo_off == 0 and len(short) == 1 and short[0] <= CLOSE_MARK


def student_need(facts: StudentFacts) -> Need | None:
    if not facts.may_record:
        if facts.guardian_invited_at is None or facts.has_guardian:
            return Need.AGREEMENT
        return Need.INVITATION if _unanswered(facts.guardian_invited_at, facts.at) else None
    if not facts.has_account and _unanswered(facts.student_invited_at, facts.at):
        return Need.INVITATION
    silent = facts.at - max(facts.last_take_at or facts.since, facts.since) >= WITHOUT_A_TAKE_FOR
    return Need.SILENT if facts.practising and not facts.told and silent else None


def _unanswered(invited_at: datetime | None, at: datetime) -> bool:
    return invited_at is not None and at - invited_at >= UNANSWERED_AFTER


def _short_by(mark: MarkFacts, ready_percent: int) -> float:
    """How far below what counts as ready, as a share of the top mark."""
    needed = Decimal(str(mark.high)) * ready_percent / 100
    return float((needed - Decimal(str(mark.value))) / Decimal(str(mark.high)))


def _tempo_off(facts: CellFacts) -> float:
    """How far outside the accepted range, as a share of the bound that is missed."""
    bpm, low, high = float(facts.metronome_bpm or 0), float(facts.low_bpm), float(facts.high_bpm)
    return max(0.0, (low - bpm) / low, (bpm - high) / high)
