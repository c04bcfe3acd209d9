from repertoire.library.order_check import order_question
from repertoire.notation.read.reading import read_score
from repertoire.wording.words import words
from tests.repertoire.notation import makers


def test_plain_repeats_are_agreed_on():
    repeated = makers.piece(4, {2: ("", makers.repeat_end())})
    assert order_question(read_score(repeated)) is None


def test_a_form_read_once_is_asked_about():
    marks = {
        1: (makers.repeat_start(), ""),
        2: (makers.ending("1", "start"), makers.ending("1", "stop", repeat=True)),
        3: (makers.ending("2", "start"), makers.ending("2", "discontinue")),
        4: ("", makers.jump(makers.words("D.C."), 'dacapo="yes"')),
    }
    assert "please confirm: 1-2, 1, 3-4" in words(order_question(read_score(makers.piece(4, marks))))


def test_a_second_reading_that_takes_too_long_is_given_up():
    question = order_question(read_score(makers.piece(3)), timeout_s=0.001)
    assert words(question).endswith("please confirm: 1-3.")
