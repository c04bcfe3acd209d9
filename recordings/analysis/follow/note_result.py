"""What became of each printed note: its status, and the numbers measured of it.

`status` is decided by comparing the note with the sound at its place; the numbers are None until they are
measured, and stay None where they cannot be. Seconds are those of the take, cents are hundredths of a
semitone of equal temperament, pitches are MIDI numbers (60: middle C).
"""

from dataclasses import dataclass
from typing import TypeVar

from repertoire.notation.sentence import Sentence

PLAYED, WRONG, MISSING, UNCERTAIN = "played", "wrong_pitch", "missing", "uncertain"


@dataclass(frozen=True, slots=True)
class NoteResult:
    """One printed note of the heard form. Missing numbers are None, never guessed."""

    note_id: str
    measure_id: str
    bar: str
    beat: float
    pass_number: int
    position: int
    form_index: int  # index into form.notes
    start_q: float
    midi: int
    fifths: int  # of the printed spelling on the line of fifths, C at 0
    status: str
    heard_midi: int | None = None
    onset_s: float | None = None
    onset_blur_s: float = 0.0
    offset_s: float | None = None
    cents_from_printed: float | None = None  # against equal temperament at A = 440, tuning not yet taken off
    deviation_cents: float | None = None  # against the temperament at the take's own tuning
    spread_cents: float | None = None
    vibrato_rate_hz: float | None = None
    vibrato_extent_cents: float | None = None
    loudness_db: float | None = None
    evidence: float = 0.0  # 0 to 1: how well the sound fits what is told; the limits of the stages rest on it
    confidence: float = 0.0  # 0 to 1: how often what is told of such a note is right (`measure.confidence`)
    reason: Sentence | None = None

    # What a stage that has chosen its notes by status may count on; LookupError for a note without it.

    @property
    def began_s(self) -> float:
        """Seconds from the start of the take to the onset."""
        return _known(self.onset_s)

    @property
    def ended_s(self) -> float:
        """Seconds from the start of the take to the offset."""
        return _known(self.offset_s)

    @property
    def printed_cents(self) -> float:
        """Cents above the printed pitch at A = 440."""
        return _known(self.cents_from_printed)

    @property
    def off_cents(self) -> float:
        """Cents above its place in the temperament, at the take's own tuning."""
        return _known(self.deviation_cents)

    @property
    def level_db(self) -> float:
        """RMS level in dBFS."""
        return _known(self.loudness_db)

    @property
    def sounded_midi(self) -> int:
        """The other pitch of a wrong note, as printed pitches are numbered."""
        return _known(self.heard_midi)


Number = TypeVar("Number", int, float)


def _known(number: Number | None) -> Number:
    if number is None:
        raise LookupError("this note was not measured so far")
    return number


@dataclass(frozen=True, slots=True)
class ExtraNote:
    """A pitch heard where none is printed."""

    start_s: float
    end_s: float
    midi: int
