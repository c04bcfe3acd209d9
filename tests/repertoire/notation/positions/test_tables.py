"""Which note lies under which finger, as public-domain methods print it (from memory).

Double bass: F. Simandl, New Method for the Double Bass, part I. Violin: C. H. Hohmann, Practical Violin
Method, and O. Sevcik, School of Violin Technics op. 1. Violoncello: the methods of J. J. F. Dotzauer and
B. Romberg.
"""

import pytest

from repertoire.notation.positions.boards import FINGERBOARDS
from repertoire.notation.positions.hand import THUMB, THUMB_FROM, stops
from repertoire.notation.positions.names import position_name
from repertoire.wording.words import words

STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
ALTERS = {"": 0, "#": 1, "b": -1}

SIMANDL_G_STRING = """
½ G# A A#
I A Bb B
II Bb B C
II-III B C C#
III C C# D
III-IV C# D D#
IV D Eb E
V Eb E F
V-VI E F F#
VI F F# G
VI-VII F# G G#
VII G G# A
"""
SIMANDL_LOW = """
IV ½ F F# G
IV I F# G G#
III ½ A# B C
III I B C C#
II ½ D# E F
II I E F F#
II III G G# A
III II C C# D
"""
VIOLIN = """
IV I A B C D
III I E F G A
II I B C D E
I I F G A B
IV III C D E F
III III G A B C
II III D E F G
I III A B C D
II II C D E F
I II G A B C
I IV B C D E
I V C D E F
II V F G A B
I VII E F G A
"""
CELLO = """
I I B C C# D
II I E F F# G
III I A Bb B C
IV I D Eb E F
I IV E F F# G
II IV A Bb B C
I ½ Bb B C C#
II ½ Eb E F F#
"""


def place(name: str, above: int) -> int:
    """Semitones from an open string up to the next note of that name."""
    return (STEPS[name[0]] + ALTERS[name[1:]] - above) % 12 or 12


def rows(table: str):
    return [line.split() for line in table.split("\n") if line]


def fingers(instrument: str, string: int, name: str, position: str, least: int = 0, letter: bool = False):
    """Fingers that stop `name` on a string in a position without a stretch, above `least` semitones."""
    board = FINGERBOARDS[instrument]
    up = place(name, board.strings[string] % 12)
    while up <= least:
        up += 12
    midi = board.strings[string] + up
    written = (midi - ALTERS[name[1:]]) // 12 * 7 - 7 + "CDEFGAB".index(name[0]) if letter else None
    return {
        s.finger
        for s in stops(board, midi, written)
        if s.string == string and words(position_name(board, s.position)) == position and not s.stretched
    }


@pytest.mark.parametrize("row", rows(SIMANDL_G_STRING), ids=lambda row: row[0])
def test_bass_twelve_positions_on_the_first_string(row):
    position, *notes = row
    top = 3 if position in ("VI", "VI-VII", "VII") else 4
    least = 8 if position in ("V-VI", "VI", "VI-VII", "VII") else 0
    for finger, note in zip((1, 2, top), notes, strict=True):
        assert fingers("double_bass", 0, note, position, least) == {finger}, note


@pytest.mark.parametrize("row", rows(SIMANDL_LOW), ids=" ".join)
def test_bass_positions_on_the_lower_strings(row):
    string, position, *notes = row
    for finger, note in zip((1, 2, 4), notes, strict=True):
        index = ("I", "II", "III", "IV").index(string)
        assert fingers("double_bass", index, note, position) == {finger}, note


@pytest.mark.parametrize("row", rows(VIOLIN), ids=" ".join)
@pytest.mark.parametrize("instrument", ["violin", "viola"])
def test_violin_and_viola_positions_by_letters(instrument, row):
    string, position, *notes = row
    index = ("I", "II", "III", "IV").index(string)
    shift = 0 if instrument == "violin" else 3  # the viola's strings are named a fifth lower: same hand
    for k, note in enumerate(notes, 1):
        name = note
        if shift:
            name = "FCGDAEB"[("FCGDAEB".index(note) - 1) % 7]
        assert fingers(instrument, index, name, position, least(position, k), letter=True) == {k}, note


def least(position: str, finger: int) -> int:
    """A semitone below the lowest place of the finger's letter, to find the octave that is meant."""
    letters = ("I", "II", "III", "IV", "V", "VI", "VII").index(position) + finger
    return (0, 0, 2, 4, 5, 7, 9, 10, 12, 14, 15)[letters]


@pytest.mark.parametrize("row", rows(CELLO), ids=" ".join)
def test_cello_close_positions(row):
    string, position, *notes = row
    index = ("I", "II", "III", "IV").index(string)
    for finger, note in enumerate(notes, 1):
        assert finger in fingers("cello", index, note, position), note


def test_cello_first_position_stretches_to_a_major_third():
    board = FINGERBOARDS["cello"]
    forward = {2: 61, 3: 62, 4: 63}  # C sharp, D, E flat above the first finger's B
    for finger, midi in forward.items():
        assert any(s.finger == finger and s.position == 2 and s.stretched for s in stops(board, midi))
    assert any(s.finger == 1 and s.position == 2 and s.stretched for s in stops(board, 58))  # B flat


def test_thumb_on_the_octave_harmonic_spans_a_fourth():
    for instrument, octave in (("cello", 69), ("double_bass", 55)):
        board = FINGERBOARDS[instrument]
        for finger, up in ((THUMB, 0), (1, 2), (2, 4), (3, 5), (2, 3)):
            places = {(s.finger, s.position) for s in stops(board, octave + up) if s.string == 0}
            assert (finger, THUMB_FROM + 12) in places, (instrument, finger)


def test_no_thumb_below_the_octave():
    board = FINGERBOARDS["double_bass"]
    assert not any(s.finger == THUMB for s in stops(board, 43 + 11) if s.string == 0)
