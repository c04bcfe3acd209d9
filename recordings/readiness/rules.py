"""Where one student stands with one requirement, said in words.

One definition, used by every page: a requirement is *ready* when the take to be sent was
handed in before the audition closed, is complete, was played within the accepted
tempo range, and its released review marks every caption at or above the studio's
threshold. To be sent is the take a person chose; where nobody did, any answered take that
is all this, so that a later take, worse or not yet heard, does not unmake it. What is
measured and what is marked concern one and the same take. Where none is ready, the latest
take says where things stand, and the reasons mention an older answer.

States, and when each one holds (first match wins):

- `ready`: every clause above holds. Stays ready after the closing time.
- `overdue`: the audition has closed, or the internal deadline has passed with nothing
  handed in, unless the student was entered only today. A take that only awaits the
  teacher is not the student's lateness, so it keeps its own state until the audition
  closes.
- `nothing_yet`: no take so far.
- `recorded`: a take is in; the measurement has not ended.
- `waiting_for_review`: the measurement has ended (or failed: the ear can still judge)
  and no review of this take is released; or the take a person chose to send has no answer.
- `back_to_work`: the review is released and a clause is not met; the reasons say which,
  and say so when the internal deadline has passed meanwhile. Also where no recording so far can be
  judged: its player is asked to record again, and nobody else is.

Pure: no Django models, no clock. Times are aware datetimes, tempos in the
requirement's beat unit per minute, marks on their caption's own scale.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from enum import StrEnum
from functools import partial

from django.utils.translation import gettext as _

from repertoire.wording.words import short_number

Number = float | Decimal

MEASURED = frozenset({"done", "failed"})


class State(StrEnum):
    NOTHING_YET = "nothing_yet"
    RECORDED = "recorded"
    WAITING_FOR_REVIEW = "waiting_for_review"
    BACK_TO_WORK = "back_to_work"
    READY = "ready"
    OVERDUE = "overdue"


@dataclass(frozen=True, slots=True)
class MarkFacts:
    """One caption's mark in the released review; `value` is None where it was left open."""

    caption: str
    value: Number | None
    high: Number


@dataclass(frozen=True, slots=True)
class SentFacts:
    """The take to be sent: `chosen` by a person or not, `answered` with a released review or not."""

    uploaded_at: datetime
    chosen: bool
    answered: bool
    complete: bool | None = None
    metronome_bpm: Number | None = None
    marks: tuple[MarkFacts, ...] = ()


@dataclass(frozen=True, slots=True)
class CellFacts:
    """What is known of one student's latest take of one requirement, and of the one to be sent.

    `at` is the moment asked about. Everything from `take_uploaded_at` to `marks`
    concerns the latest take; where there is none, leave the defaults.
    `analysis_state` is "waiting", "running", "done" or "failed"; `review_state` is
    None (no review), "draft", "released" or "withdrawn". `older_review_released`
    tells that an earlier take of this requirement has a released review. `record_again` tells that the only
    recordings handed in cannot be judged (silent, unreadable, other music): there is no take yet then.
    `entered_today` tells that the student was entered on the day asked about: nobody is late on that day.
    `to_send` is given where it is another take than the latest.
    """

    at: datetime
    due_at: datetime
    closes_at: datetime
    low_bpm: Number
    high_bpm: Number
    ready_percent: int
    take_uploaded_at: datetime | None = None
    analysis_state: str | None = None
    complete: bool | None = None
    metronome_bpm: Number | None = None
    review_state: str | None = None
    marks: tuple[MarkFacts, ...] = ()
    older_review_released: bool = False
    record_again: bool = False
    entered_today: bool = False
    to_send: SentFacts | None = None


@dataclass(frozen=True, slots=True)
class Readiness:
    state: State
    reasons: tuple[str, ...]


def readiness(facts: CellFacts) -> Readiness:
    """Where this requirement stands at `facts.at`, with the reasons in whole sentences."""
    if facts.take_uploaded_at is None:
        return _without_a_take(facts)
    if facts.to_send and _is_ready(facts, facts.to_send):
        return Readiness(State.READY, (_("An earlier take is everything that is asked; it can be sent."),))
    if facts.review_state != "released":
        return _before_a_review(facts, closed=facts.at > facts.closes_at)
    if facts.to_send and facts.to_send.chosen:
        return _chosen_falls_short(facts, facts.to_send)
    short = tuple(say() for say in _what_is_missing(facts))
    state = _state_after_a_review(facts, is_short=bool(short))
    if state is State.READY:
        reason = _("Every mark, the tempo and the order of bars are where they should be.")
        return Readiness(state, (reason,))
    if state is State.OVERDUE:
        return Readiness(state, (_("The audition has closed."), *short))
    late = (_("The internal deadline has passed."),) if facts.at > facts.due_at else ()
    return Readiness(state, (*short, *late))


def state_of(facts: CellFacts) -> State:
    """The state alone: for many cells at once, whose reasons nobody reads."""
    another = facts.to_send and (facts.to_send.chosen or _is_ready(facts, facts.to_send))
    if facts.take_uploaded_at is None or facts.review_state != "released" or another:
        return readiness(facts).state
    return _state_after_a_review(facts, is_short=any(True for _ in _what_is_missing(facts)))


def _state_after_a_review(facts: CellFacts, *, is_short: bool) -> State:
    if not is_short:
        return State.READY
    return State.OVERDUE if facts.at > facts.closes_at else State.BACK_TO_WORK


def _is_ready(facts: CellFacts, sent: SentFacts) -> bool:
    return sent.answered and not any(True for _ in _what_is_missing(_about(facts, sent)))


def _about(facts: CellFacts, sent: SentFacts) -> CellFacts:
    """The facts as if the take to be sent were the latest."""
    return replace(
        facts,
        take_uploaded_at=sent.uploaded_at,
        complete=sent.complete,
        metronome_bpm=sent.metronome_bpm,
        marks=sent.marks,
    )


def _chosen_falls_short(facts: CellFacts, sent: SentFacts) -> Readiness:
    if not sent.answered:
        reasons = [_("The take chosen to be sent has no answer yet.")]
    else:
        short = [say() for say in _what_is_missing(_about(facts, sent))]
        reasons = [_("An earlier take is chosen to be sent."), *short]
    if facts.at > facts.closes_at:
        return Readiness(State.OVERDUE, (_("The audition has closed."), *reasons))
    return Readiness(State.BACK_TO_WORK if sent.answered else State.WAITING_FOR_REVIEW, tuple(reasons))


def _without_a_take(facts: CellFacts) -> Readiness:
    if facts.record_again:
        return _with_a_recording_nobody_can_judge(facts)
    if facts.at > facts.closes_at:
        return Readiness(State.OVERDUE, (_("The audition has closed and no take was handed in."),))
    if facts.at > facts.due_at and facts.entered_today:
        return Readiness(
            State.NOTHING_YET, (_("Entered today, after the internal deadline: no take is in yet."),)
        )
    if facts.at > facts.due_at:
        return Readiness(State.OVERDUE, (_("The deadline has passed and no take is in yet."),))
    return Readiness(State.NOTHING_YET, (_("No take is in yet."),))


def _with_a_recording_nobody_can_judge(facts: CellFacts) -> Readiness:
    reason = _("The recording handed in cannot be judged; please record again.")
    if facts.at > facts.closes_at:
        return Readiness(State.OVERDUE, (_("The audition has closed."), reason))
    if facts.at > facts.due_at:
        return Readiness(State.OVERDUE, (_("The internal deadline has passed."), reason))
    return Readiness(State.BACK_TO_WORK, (reason,))


def _before_a_review(facts: CellFacts, *, closed: bool) -> Readiness:
    if facts.analysis_state not in MEASURED:
        state, reason = State.RECORDED, _("A take is in and is being measured.")
    elif facts.analysis_state == "failed":
        state = State.WAITING_FOR_REVIEW
        reason = _("The take could not be measured; it waits for the teacher's ear.")
    elif facts.review_state == "withdrawn":
        state, reason = State.WAITING_FOR_REVIEW, _("The review was withdrawn; the teacher answers again.")
    else:
        state, reason = State.WAITING_FOR_REVIEW, _("The take is measured and waits for the teacher.")
    reasons = [reason]
    if facts.older_review_released:
        reasons.append(_("An earlier take already has a review."))
    if closed:
        return Readiness(State.OVERDUE, (_("The audition has closed."), *reasons))
    return Readiness(state, tuple(reasons))


def _what_is_missing(facts: CellFacts) -> Iterable[Callable[[], str]]:
    """Each as what says it, so that only who reads the words has them made."""
    yield from _marks_below(facts)
    yield from _form_not_whole(facts)
    yield from _tempo_outside(facts)
    if facts.take_uploaded_at and facts.take_uploaded_at > facts.closes_at:
        yield lambda: _("The take came in after the audition had closed.")


def _marks_below(facts: CellFacts) -> Iterable[Callable[[], str]]:
    if not facts.marks:
        yield lambda: _("The review carries no marks.")
    for mark in facts.marks:
        needed = Decimal(str(mark.high)) * facts.ready_percent / 100
        if mark.value is None or Decimal(str(mark.value)) < needed:
            yield partial(_say_mark, mark, needed)


def _say_mark(mark: MarkFacts, needed: Decimal) -> str:
    if mark.value is None:
        return _("%(caption)s is not marked.") % {"caption": mark.caption}
    return _("%(caption)s is at %(value)s; %(needed)s or more counts as ready.") % {
        "caption": mark.caption,
        "value": _plain(mark.value),
        "needed": _plain(needed),
    }


def _form_not_whole(facts: CellFacts) -> Iterable[Callable[[], str]]:
    if facts.complete is None:
        yield lambda: _("Whether the take is complete could not be measured.")
    elif not facts.complete:
        yield lambda: _("The take is not complete.")


def _tempo_outside(facts: CellFacts) -> Iterable[Callable[[], str]]:
    if facts.metronome_bpm is None:
        yield lambda: _("The tempo could not be measured.")
    elif not float(facts.low_bpm) <= float(facts.metronome_bpm) <= float(facts.high_bpm):
        yield partial(_say_tempo, facts.metronome_bpm, facts)


def _say_tempo(bpm: Number, facts: CellFacts) -> str:
    return _("The tempo is %(bpm)s a minute; %(low)s to %(high)s is fine.") % {
        "bpm": _plain(bpm),
        "low": _plain(facts.low_bpm),
        "high": _plain(facts.high_bpm),
    }


def _plain(number: Number) -> str:
    """A number with at most one decimal."""
    return short_number(round(float(number), 1))
