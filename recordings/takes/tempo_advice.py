"""From a student's own takes: the fastest tempo at which the notes and the intonation held.

A take held where about as many notes were right and in tune as in the student's own calmest; nobody is
compared with others. Never from fewer than three takes, and always with the takes it rests on.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from recordings.jobs.request import play_query
from recordings.models import Take
from studio.models import Requirement

LEAST_TAKES = 3
LATEST_TAKES = 8  # what was played weeks ago says little of today
LEAST_SHARE = 0.5  # of what is asked; less says nothing of the whole
# Chosen, no published source: a note or two in fifty beside the best take; and one in ten out of tune, since
# the same playing measured twice differs by a few in a hundred.
RIGHT_MARGIN, IN_TUNE_MARGIN = 0.03, 0.10
SAME_TEMPO = 0.03  # of the tempo; the measuring itself is off by up to this


class Held(StrEnum):
    """What the takes say together."""

    UP_TO = "up_to"  # faster ones came apart
    EVERYWHERE = "everywhere"
    UP_TO_THE_MARK = "up_to_the_mark"  # and the tempo asked for is reached
    PAST_THE_MARK = "past_the_mark"  # and the fastest is faster than anything asked for
    NOWHERE_SURE = "nowhere_sure"  # slow takes held no better than fast ones


@dataclass(frozen=True, slots=True)
class TakeAtTempo:
    """Shares are 0 to 1; `in_tune` is None where intonation is not judged."""

    bpm: float
    right: float
    in_tune: float | None
    held: bool = True

    @property
    def right_percent(self) -> int:
        return round(100 * self.right)

    @property
    def in_tune_percent(self) -> int | None:
        return None if self.in_tune is None else round(100 * self.in_tune)


@dataclass(frozen=True, slots=True)
class TempoAdvice:
    """`bpm`: the fastest tempo that held, if any did; `came_apart_bpm`: the next faster one that did not."""

    held: Held
    bpm: float
    came_apart_bpm: float | None
    takes: tuple[TakeAtTempo, ...]  # by tempo
    practise_bpm: int = 0  # never faster than what is asked for
    play_query: str = ""


def tempo_advice(requirement: Requirement, takes: Sequence[Take]) -> TempoAdvice | None:
    """Of the latest measured takes of the music as it is now; None where they are too few.

    `takes` in any order, with their analyses.
    """
    latest = sorted(takes, key=lambda take: (take.uploaded_at, take.pk), reverse=True)
    rested_on = [at for take in latest if (at := _at_tempo(requirement, take))][:LATEST_TAKES]
    low_bpm, high_bpm = float(requirement.low_bpm), float(requirement.high_bpm)
    advice = advise(rested_on, low_bpm=low_bpm, high_bpm=high_bpm)
    if advice is None:
        return None
    bpm = round(min(advice.bpm, high_bpm))
    return replace(advice, practise_bpm=bpm, play_query=play_query(requirement, bpm=bpm))


def advise(takes: Sequence[TakeAtTempo], *, low_bpm: float, high_bpm: float) -> TempoAdvice | None:
    """The rule, from plain figures, the latest first; what is accepted goes from `low_bpm` to `high_bpm`.

    What did not hold once and held later, as fast or faster, has been learned and counts no longer.
    """
    if len(takes) < LEAST_TAKES:
        return None
    judged = _judged(takes)
    # Where the most right and the best in tune were two takes, none may have held.
    slowest = min(take.bpm for take in judged)
    fastest = max((take.bpm for take in judged if take.held), default=slowest)
    counting = [take for n, take in enumerate(judged) if take.held or not _learned(take, judged[:n])]
    slower = [take for take in counting if take.bpm <= fastest * (1 + SAME_TEMPO)]
    apart = [take.bpm for take in counting if take.bpm > fastest * (1 + SAME_TEMPO)]
    if 2 * sum(take.held for take in slower) <= len(slower):
        held = Held.NOWHERE_SURE
    elif apart:
        held = Held.UP_TO
    elif fastest > high_bpm * (1 + SAME_TEMPO):
        held = Held.PAST_THE_MARK
    else:
        held = Held.UP_TO_THE_MARK if fastest >= low_bpm else Held.EVERYWHERE
    by_tempo = tuple(sorted(judged, key=lambda take: take.bpm))
    return TempoAdvice(held, fastest, min(apart, default=None), by_tempo)


def _learned(take: TakeAtTempo, later: Sequence[TakeAtTempo]) -> bool:
    return any(other.held and other.bpm >= take.bpm * (1 - SAME_TEMPO) for other in later)


def _judged(takes: Sequence[TakeAtTempo]) -> list[TakeAtTempo]:
    best_right = max(take.right for take in takes)
    best_in_tune = max((take.in_tune for take in takes if take.in_tune is not None), default=None)

    def holds(take: TakeAtTempo) -> bool:
        if take.right < best_right - RIGHT_MARGIN:
            return False
        if take.in_tune is None or best_in_tune is None:
            return True
        return take.in_tune >= best_in_tune - IN_TUNE_MARGIN

    return [TakeAtTempo(take.bpm, take.right, take.in_tune, holds(take)) for take in takes]


def _at_tempo(requirement: Requirement, take: Take) -> TakeAtTempo | None:
    found = take.analysis
    if take.is_to_be_recorded_again or found.metronome_bpm is None or found.right_share is None:
        return None
    if found.score_hash and found.score_hash != requirement.excerpt.content_hash:
        return None
    if (found.share_played or 0.0) < LEAST_SHARE:
        return None
    return TakeAtTempo(found.metronome_bpm, found.right_share, found.in_tune_share)
