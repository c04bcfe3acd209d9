"""What became of each printed note: its status, and the numbers measured of it.

`status` is decided by comparing the note with the sound at its place; the numbers are None until they are
measured, and stay None where they cannot be. Seconds are those of the take, cents are hundredths of a
semitone of equal temperament, pitches are MIDI numbers (60: middle C).
"""

from dataclasses import dataclass

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
    status: str
    heard_midi: int | None = None
    onset_s: float | None = None
    offset_s: float | None = None
    cents_from_printed: float | None = None  # against equal temperament at A = 440, tuning not yet taken off
    deviation_cents: float | None = None  # against the temperament at the take's own tuning
    spread_cents: float | None = None
    vibrato_rate_hz: float | None = None
    vibrato_extent_cents: float | None = None
    loudness_db: float | None = None
    confidence: float = 0.0
    reason: str | None = None


@dataclass(frozen=True, slots=True)
class ExtraNote:
    """A pitch heard where none is printed."""

    start_s: float
    end_s: float
    midi: int
