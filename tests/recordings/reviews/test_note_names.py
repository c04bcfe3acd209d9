"""The page's ribbons and the drafted findings name the key that was heard alike."""

import pytest

from recordings.analysis.tell.sounded import sounded_name
from recordings.reviews.score_data import NoteNames
from repertoire.notation.read.reading import read_score
from repertoire.wording.words import words
from tests.repertoire.notation.makers import attributes, piece


@pytest.mark.parametrize(
    ("fifths", "sign", "spoken"), [(-3, "E♭4", "E flat"), (0, "E♭4", "E flat"), (4, "D♯4", "D sharp")]
)
def test_a_heard_key_has_one_name(fifths, sign, spoken):
    score = read_score(piece(2, first=attributes(fifths=fifths))).score
    first = score.notes[0]
    assert NoteNames(score).heard(first.note_id, 63.2) == sign
    assert words(sounded_name(score, 63, first.measure_index)) == spoken


def test_printed_names_are_those_of_the_print_and_a_note_that_is_gone_has_none():
    score = read_score(piece(2)).score
    names = NoteNames(score)
    assert names.of(score.notes[0].note_id) == score.notes[0].written.name
    assert names.of("p9m9n9") == ""
    assert names.heard("p9m9n9", 61.0) == "C♯4"
