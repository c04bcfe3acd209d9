"""One requirement's takes over time: when, how fast, how much of it, and what marks they were given."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from recordings.models import Analysis, Take
from recordings.takes.sittings import sittings
from repertoire.wording.words import short_number
from studio.models import Requirement

MARGIN = 0.06  # of the widest tempo, left free at both ends of the scale


@dataclass(frozen=True, slots=True)
class TempoScale:
    """Where tempos stand on a line from 0 to 100, and where the accepted range lies on it."""

    low: float
    high: float
    accepted_low: float
    accepted_high: float

    def at(self, bpm: float) -> float:
        return round(100 * (bpm - self.low) / (self.high - self.low), 1)

    @property
    def accepted_from(self) -> float:
        return self.at(self.accepted_low)

    @property
    def accepted_width(self) -> float:
        return round(self.at(self.accepted_high) - self.accepted_from, 1)


@dataclass(frozen=True, slots=True)
class Played:
    """One take as a row of the history; places on the scale from 0 to 100."""

    take: Take
    state: str
    bpm: float | None
    bpm_at: float | None
    share_percent: int | None
    marks: str


@dataclass(frozen=True, slots=True)
class HistorySitting:
    began_at: datetime
    rows: tuple[Played, ...]  # latest first


def tempo_scale(requirement: Requirement, takes: Iterable[Take]) -> TempoScale:
    low, high = float(requirement.low_bpm), float(requirement.high_bpm)
    tempos = [low, high, *(bpm for bpm in map(_bpm, takes) if bpm is not None)]
    room = MARGIN * max(tempos)
    return TempoScale(min(tempos) - room, max(tempos) + room, low, high)


def history(requirement: Requirement, takes: Sequence[Take], scale: TempoScale) -> list[HistorySitting]:
    """Sittings, latest first. Takes come with analysis, review and the review's marks loaded."""
    heard = [take for take in takes if not take.is_to_be_recorded_again]
    latest = max(heard, key=lambda take: (take.uploaded_at, take.pk), default=None)
    return [
        HistorySitting(
            sitting.began_at, tuple(_played(take, scale, is_latest=take is latest) for take in sitting.takes)
        )
        for sitting in sittings(takes)
    ]


def _played(take: Take, scale: TempoScale, *, is_latest: bool) -> Played:
    bpm, share = _bpm(take), take.analysis.share_played
    return Played(
        take,
        _state(take, is_latest=is_latest),
        bpm,
        None if bpm is None else scale.at(bpm),
        None if share is None else round(100 * share),
        _marks(take),
    )


def _bpm(take: Take) -> float | None:
    """The tempo of a take that can be judged; of other music it says nothing."""
    return None if take.is_to_be_recorded_again else take.analysis.metronome_bpm


def _state(take: Take, *, is_latest: bool) -> str:
    if hasattr(take, "review") and take.review.is_released:
        return _("answered by the teacher")
    if take.is_to_be_recorded_again:
        return _("please record again")
    if not is_latest:
        return _("your later take is heard instead")
    if take.analysis.state in (Analysis.State.DONE, Analysis.State.FAILED):
        return _("waits for the teacher")
    return take.analysis.get_state_display()


def _marks(take: Take) -> str:
    if not (hasattr(take, "review") and take.review.is_released):
        return ""
    marks = [(mark.caption.name, mark.value) for mark in take.review.shown_marks if mark.value is not None]
    return ", ".join(f"{name} {short_number(value)}" for name, value in marks)
