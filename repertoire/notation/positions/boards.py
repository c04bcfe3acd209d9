"""The fingerboards of the string instruments, with their usual tuning and other tunings in words.

Usual tunings as in every method of the instrument: violin g d' a' e'', viola c g d' a', cello C G d a, double
bass sounding E1 A1 D2 G2.
"""

import re

from repertoire.notation import messages
from repertoire.notation.positions.hand import Fingerboard, Frame
from repertoire.notation.score import BadScore

FINGERBOARDS = {
    "violin": Fingerboard(Frame.VIOLIN, (76, 69, 62, 55)),
    "viola": Fingerboard(Frame.VIOLIN, (69, 62, 55, 48)),
    "cello": Fingerboard(Frame.CELLO, (57, 50, 43, 36)),
    "double_bass": Fingerboard(Frame.BASS, (43, 38, 33, 28)),
}
FEWEST_STRINGS, MOST_STRINGS = 4, 6
NAMES = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
STRING = re.compile(r"([A-Ga-g])([#b]?)(-?[0-9])")


def tuning_text(board: Fingerboard) -> str:
    """Lowest string first: "E1 A1 D2 G2"; middle C is C4."""
    return " ".join(f"{NAMES[midi % 12]}{midi // 12 - 1}" for midi in reversed(board.strings))


def tuned(board: Fingerboard, text: str) -> Fingerboard:
    """The same hand on strings tuned as `text` says, lowest first; raises `BadScore`."""
    words = text.split()
    if not FEWEST_STRINGS <= len(words) <= MOST_STRINGS:
        raise BadScore(messages.TUNING_STRINGS.format(fewest=FEWEST_STRINGS, most=MOST_STRINGS))
    found = [STRING.fullmatch(word) for word in words]
    pitches = [_midi(match) for match in found if match]
    if len(pitches) != len(words) or not all(12 <= midi <= 100 for midi in pitches):
        raise BadScore(messages.TUNING_UNREAD.format(usual=tuning_text(board)))
    if sorted(set(pitches)) != pitches:
        raise BadScore(messages.TUNING_ORDER)
    return Fingerboard(board.frame, tuple(reversed(pitches)))


def _midi(match: re.Match[str]) -> int:
    step, alter, octave = match.groups()
    return 12 * (int(octave) + 1) + STEPS[step.upper()] + {"#": 1, "b": -1, "": 0}[alter]
