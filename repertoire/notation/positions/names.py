"""Positions, strings and fingers by the names players use, and what could not be planned in sentences.

Numbers as in `hand`. Raises nothing for what a plan holds.
"""

from repertoire.notation import messages
from repertoire.notation.pitches import spoken_name
from repertoire.notation.positions.events import Event
from repertoire.notation.positions.hand import THUMB, THUMB_FROM, Fingerboard, Frame
from repertoire.notation.score import Note

ROMAN = ("I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI", "XII")
# Semitone of the first finger on the double bass: Simandl's names, from memory.
BASS_NAMES = ("½", "I", "II", "II-III", "III", "III-IV", "IV", "V", "V-VI", "VI", "VI-VII", "VII")
# On the cello positions are counted by letters, so that most have a low and a high place (common practice).
CELLO_NAMES = (
    "½",
    "I",
    "II low",
    "II high",
    "III low",
    "III high",
    "IV",
    "V low",
    "V high",
    "VI low",
    "VI high",
    "VII",
)


def string_name(string: int) -> str:
    """Roman number of a string; 0 is the first string, I."""
    return ROMAN[string]


def finger_name(finger: int) -> str:
    """The finger as it is printed: "T" for the thumb, else its number."""
    return messages.FINGER_THUMB if finger == THUMB else str(finger)


def position_name(board: Fingerboard, position: int) -> str:
    """III, ½, or "thumb 12": the thumb that many semitones above the open string."""
    if position > THUMB_FROM:
        return messages.POSITION_THUMB.format(place=position - THUMB_FROM)
    if board.frame is Frame.VIOLIN:
        return ROMAN[position - 1]
    return (BASS_NAMES if board.frame is Frame.BASS else CELLO_NAMES)[position - 1]


def note_name(note: Note) -> str:
    """The written note with its octave: "B flat 3"."""
    return f"{spoken_name(note.written_step, note.written_alter)} {note.written_octave}"


def unplanned_sentence(event: Event, bar: str, board: Fingerboard) -> str:
    """Why no fingering was found for this event, and in which bar."""
    names = ", ".join(note_name(note) for note in event.notes)
    if len(event.notes) > 1:
        return messages.PLAN_CHORD.format(bar=bar, notes=names)
    if event.notes[0].midi < min(board.strings):
        return messages.PLAN_TOO_LOW.format(bar=bar, note=names)
    return messages.PLAN_TOO_HIGH.format(bar=bar, note=names)


def lock_sentence(event: Event, bar: str) -> str:
    """That the teacher's own fingering of this event cannot be played."""
    names = ", ".join(note_name(note) for note in event.notes)
    return messages.PLAN_LOCK.format(bar=bar, notes=names)
