from dataclasses import replace

import pytest

from repertoire.notation.reading import read_score
from repertoire.wording import changes, key_name, metre_name, midi_name, value_name
from tests.repertoire.notation import makers


@pytest.fixture
def score():
    later = {2: (makers.attributes(fifths=-3, mode="minor", beats=3), "")}
    return read_score(makers.piece(3, later)).score


@pytest.mark.parametrize(
    ("fifths", "mode", "said"),
    [
        (0, "major", "C major"),
        (-2, "major", "B♭ major"),
        (6, "major", "F♯ major"),
        (0, "minor", "A minor"),
        (-3, "minor", "C minor"),
        (4, "minor", "C♯ minor"),
        (7, "", "7 sharps"),
        (-1, "", "1 flat"),
        (0, "", "no sharps or flats"),
        (9, "major", "an unusual key signature"),
    ],
)
def test_keys(score, fifths, mode, said):
    assert key_name(replace(score.measures[0], fifths=fifths, mode=mode)) == said


def test_changes_are_said_with_their_bar(score):
    assert changes(score, key_name) == "C major, from bar 2: C minor"
    assert changes(score, metre_name) == "4/4, from bar 2: 3/4"


@pytest.mark.parametrize(
    ("quarters", "said"),
    [
        (1.0, "quarter note"),
        (1.5, "dotted quarter note"),
        (1 / 3, "eighth note of a triplet"),
        (0.125, "thirty-second note"),
        (2.5, "2.5 quarters long"),
    ],
)
def test_note_values(quarters, said):
    assert value_name(quarters) == said


@pytest.mark.parametrize(("midi", "said"), [(60, "C4"), (69, "A4"), (34, "B♭1"), (100, "E7")])
def test_sounding_pitches(midi, said):
    assert midi_name(midi) == said
