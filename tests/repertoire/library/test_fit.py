from dataclasses import replace

import pytest

from repertoire.library.fit import range_questions, transposition_question
from repertoire.notation.instruments import INSTRUMENTS
from repertoire.notation.read.reading import read_score
from repertoire.words import bars_named
from tests.repertoire.notation import makers


@pytest.fixture
def score():
    return read_score(makers.piece(4)).score


def test_what_fits_is_not_asked_about(score):
    assert range_questions(score, INSTRUMENTS["violin"]) == []


def test_any_music_fits_an_instrument_nobody_listed(score):
    deep = replace(score, notes=tuple(replace(note, midi=1) for note in score.notes))
    assert range_questions(deep, INSTRUMENTS["other"]) == []


def test_the_furthest_note_and_its_bars_are_named(score):
    high = replace(score.notes[-1], midi=110, written_step="D", written_octave=8)
    assert range_questions(replace(score, notes=(*score.notes[:-1], high)), INSTRUMENTS["violin"]) == [
        "Bar 4: D8 is higher than this instrument is usually asked to play (E7)."
    ]


def test_sounding_not_written_pitch_decides():
    """A written E3 sounds D3, the lowest note of a clarinet in B flat."""
    head = makers.attributes(transpose="<transpose><chromatic>-2</chromatic></transpose>")
    bar = f'<measure number="1">{head}{makers.note("E", 3)}</measure>'
    clarinet = read_score(makers.score(makers.part([bar]))).score
    assert range_questions(clarinet, INSTRUMENTS["clarinet_b_flat"]) == []
    assert len(range_questions(clarinet, INSTRUMENTS["violin"])) == 1
    assert transposition_question(clarinet, INSTRUMENTS["clarinet_b_flat"]) == ""
    asked = transposition_question(clarinet, INSTRUMENTS["violin"])
    assert "sounds 2 semitones lower than written, while a part for violin usually sounds as written" in asked


def test_many_bars_are_counted():
    assert bars_named(("1",)) == "Bar 1"
    assert bars_named(("1", "2")) == "Bars 1, 2"
    assert bars_named(tuple(str(number) for number in range(1, 10))) == "Bars 1, 2, 3, 4, 5, 6 and 3 more"
