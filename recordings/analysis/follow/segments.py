"""A take as followed: the events of the form as stretches of seconds, and what was seen on the way."""

from dataclasses import dataclass

from recordings.analysis.follow import observation


@dataclass(frozen=True, slots=True)
class Segment:
    """One event as played: `event` indexes the form's events; times in seconds."""

    event: int
    start_s: float
    end_s: float
    wrong_pitch: bool
    jumped: bool  # it does not follow the event before it
    fit: float  # mean log-fit per frame of the printed pitches, 0 is perfect, -6 none
    silent_share: float


@dataclass(frozen=True, slots=True)
class Around:
    """A bar of the score that is not part of the form asked for, as it was heard; times in seconds."""

    measure_index: int
    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class Alignment:
    """Segments in played order; `seconds_per_quarter` is the tempo the second pass assumed.

    `shift` is how many semitones the take sounds above print; `around` are bars heard beside those asked for,
    in played order.
    """

    segments: tuple[Segment, ...]
    seconds_per_quarter: float
    shift: int
    score: float  # mean gain per frame over hearing nothing of the piece, in nats
    observations: observation.Observations
    around: tuple[Around, ...] = ()
