"""All that was measured of one take, together."""

from dataclasses import dataclass

from recordings.analysis.follow.note_result import NoteResult
from recordings.analysis.follow.unfollowed import Unfollowed
from recordings.analysis.measure.articulation import Articulation
from recordings.analysis.measure.dynamics import Dynamics
from recordings.analysis.measure.intonation import Intonation
from recordings.analysis.measure.rhythm import Rhythm
from recordings.analysis.measure.tempo import Tempo
from recordings.analysis.sound.tuning import Tuning


@dataclass(frozen=True, slots=True)
class Measured:
    """What findings and draft marks rest on."""

    notes: tuple[NoteResult, ...]
    tuning: Tuning
    intonation: Intonation
    tempo: Tempo
    rhythm: Rhythm
    dynamics: Dynamics
    articulation: Articulation
    note_count: int  # printed notes of the heard form, grace notes apart
    wrong_count: int
    missing_count: int
    restart_count: int
    share_played: float
    share_explained: float  # of the sounding time, spent on notes heard as printed
    unfollowed: tuple[Unfollowed, ...]
    lost: bool  # the take sounds on where it was followed no more, before the form's end
