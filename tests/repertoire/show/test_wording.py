from dataclasses import replace

import pytest

from repertoire.notation.read.reading import read_score
from repertoire.notation.score import TempoMark
from repertoire.show.wording import changes, key_name, metre_name, tempo_changes, value_name
from tests.repertoire.notation import makers


@pytest.fixture
def score():
    later = {2: (makers.attributes(fifths=-3, mode="minor", beats=3), "")}
    return read_score(makers.piece(3, later)).score


@pytest.mark.parametrize(
    ("fifths", "mode", "wording"),
    [
        (0, "major", "C major"),
        (-2, "major", "B flat major"),
        (6, "major", "F sharp major"),
        (0, "minor", "A minor"),
        (-3, "minor", "C minor"),
        (4, "minor", "C sharp minor"),
        (7, "", "7 sharps"),
        (-1, "", "1 flat"),
        (0, "", "no sharps or flats"),
        (9, "major", "an unusual key signature"),
    ],
)
def test_keys(score, fifths, mode, wording):
    assert key_name(replace(score.measures[0], fifths=fifths, mode=mode)) == wording


def test_changes_are_reported_with_their_bar(score):
    assert changes(score, key_name) == "C major, from bar 2: C minor"
    assert changes(score, metre_name) == "4/4, from bar 2: 3/4"


@pytest.mark.parametrize(
    ("quarters", "wording"),
    [
        (1.0, "quarter note"),
        (1.5, "dotted quarter note"),
        (1 / 3, "eighth note of a triplet"),
        (0.125, "thirty-second note"),
        (2.5, "2.5 quarters long"),
    ],
)
def test_note_values(quarters, wording):
    assert value_name(quarters) == wording


def test_changes_of_tempo_are_named_by_bar_and_those_not_asked_are_left_out():
    marks = (
        TempoMark(0, 0.0, 96.0, 1.0, "Allegro"),
        TempoMark(1, 0.0, 60.0, 1.5, "Meno mosso"),
        TempoMark(2, 2.0, None, 1.0, "rit."),
        TempoMark(3, 0.0, None, 1.0, "a tempo"),
    )
    marked = replace(read_score(makers.piece(4)).score, tempo_marks=marks)
    assert tempo_changes(marked) == [
        "From bar 2: Meno mosso, dotted quarter note = 60.",
        "Bar 3, beat 3: rit.",
        "Bar 4: a tempo.",
    ]
    assert tempo_changes(marked, asked={0, 3}) == ["Bar 4: a tempo."]
