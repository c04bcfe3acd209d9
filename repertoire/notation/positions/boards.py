"""The fingerboards of the string instruments, with their usual tuning and other tunings in words.

Usual tunings as in every method of the instrument: violin g d' a' e'', viola c g d' a', cello C G d a, double
bass sounding E1 A1 D2 G2.
"""

from repertoire.notation import messages
from repertoire.notation.pitches import midi_of, spelled_without_key
from repertoire.notation.positions.hand import Fingerboard, Frame
from repertoire.notation.score import BadScore

FINGERBOARDS = {
    "violin": Fingerboard(Frame.VIOLIN, (76, 69, 62, 55)),
    "viola": Fingerboard(Frame.VIOLIN, (69, 62, 55, 48)),
    "cello": Fingerboard(Frame.CELLO, (57, 50, 43, 36)),
    "double_bass": Fingerboard(Frame.BASS, (43, 38, 33, 28)),
}
FEWEST_STRINGS, MOST_STRINGS = 4, 6
LOWEST_MIDI, HIGHEST_MIDI = 12, 100


def tuning_text(board: Fingerboard) -> str:
    """Lowest string first: "E1 A1 D2 G2"; middle C is C4."""
    return " ".join(spelled_without_key(midi).typed_name for midi in reversed(board.strings))


def tuned(board: Fingerboard, text: str) -> Fingerboard:
    """The same hand on strings tuned as `text` says, lowest first; raises `BadScore`."""
    words = text.split()
    if not FEWEST_STRINGS <= len(words) <= MOST_STRINGS:
        raise BadScore(messages.TUNING_STRINGS(fewest=FEWEST_STRINGS, most=MOST_STRINGS))
    try:
        pitches = [midi_of(word[:1].upper() + word[1:]) for word in words]
    except ValueError as error:
        raise BadScore(messages.TUNING_UNREAD(usual=tuning_text(board))) from error
    if not all(LOWEST_MIDI <= midi <= HIGHEST_MIDI for midi in pitches):
        raise BadScore(messages.TUNING_UNREAD(usual=tuning_text(board)))
    if sorted(set(pitches)) != pitches:
        raise BadScore(messages.TUNING_ORDER())
    return Fingerboard(board.frame, tuple(reversed(pitches)))
