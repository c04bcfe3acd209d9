"""Positions, strings and fingers by the names players use, and what could not be planned in sentences.

Numbers as in `hand`. Raises nothing for what a plan holds.
"""

from repertoire.notation import messages
from repertoire.notation.positions.events import Event
from repertoire.notation.positions.hand import THUMB, THUMB_FROM, Fingerboard, Frame
from repertoire.notation.score import Note
from repertoire.notation.sentence import PitchName, Sentence

ROMAN = ("I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI", "XII")
# Semitone of the first finger on the double bass: Simandl's names, from memory.
BASS_NAMES = ("½", "I", "II", "II-III", "III", "III-IV", "IV", "V", "V-VI", "VI", "VI-VII", "VII")
FINGER_THUMB = "T"
# On the cello positions are counted by letters, so that most have a low (-) and a high (+) place (common
# practice).
CELLO_NAMES = (
    "½",
    "I",
    "II-",
    "II+",
    "III-",
    "III+",
    "IV",
    "V-",
    "V+",
    "VI-",
    "VI+",
    "VII",
)


def string_name(string: int) -> str:
    """Roman number of a string; 0 is the first string, I."""
    return ROMAN[string]


def finger_name(finger: int) -> str:
    """The finger as it is printed: "T" for the thumb, else its number."""
    return FINGER_THUMB if finger == THUMB else str(finger)


def position_name(board: Fingerboard, position: int) -> Sentence:
    """III, ½, II low, or "thumb 12": the thumb that many semitones above the open string."""
    if position > THUMB_FROM:
        return messages.POSITION_THUMB(place=position - THUMB_FROM)
    if board.frame is Frame.VIOLIN:
        return messages.POSITION(place=ROMAN[position - 1])
    name = (BASS_NAMES if board.frame is Frame.BASS else CELLO_NAMES)[position - 1]
    place = name.rstrip("-+")
    if name == place:
        return messages.POSITION(place=place)
    return (messages.POSITION_LOW if name.endswith("-") else messages.POSITION_HIGH)(place=place)


def note_name(note: Note) -> PitchName:
    """The written note with its octave."""
    return PitchName(note.written_step, note.written_alter, note.written_octave)


def unplanned_sentence(event: Event, bar: str, board: Fingerboard) -> Sentence:
    """Why no fingering was found for this event, and in which bar."""
    names = tuple(note_name(note) for note in event.notes)
    if len(names) > 1:
        return messages.PLAN_CHORD(bar=bar, notes=names)
    if event.notes[0].midi < min(board.strings):
        return messages.PLAN_TOO_LOW(bar=bar, note=names[0])
    return messages.PLAN_TOO_HIGH(bar=bar, note=names[0])


def lock_sentence(event: Event, bar: str) -> Sentence:
    """That the teacher's own fingering of this event cannot be played."""
    return messages.PLAN_LOCK(bar=bar, notes=tuple(note_name(note) for note in event.notes))
