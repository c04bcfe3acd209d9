"""The order of play as a line: read, written, cut, and told where it cannot be read."""

from dataclasses import replace

import pytest

from repertoire.notation.order.forms import describe, play
from repertoire.notation.order.order_line import (
    parse_order,
    print_order,
    unasked,
    with_first_endings,
    without_bars,
)
from repertoire.notation.read.reading import read_score
from repertoire.notation.score import Score
from repertoire.wording.words import words
from tests.refusals import refusal

from .makers import ending, piece, repeat_end
from .test_forms import CASES, FIRST, SECOND


def twelve() -> Score:
    return read_score(piece(12, {4: ("", repeat_end())})).score


@pytest.mark.parametrize(
    ("line", "order"),
    [
        ("1-4, 1-3, 5", [1, 2, 3, 4, 1, 2, 3, 5]),
        ("1 – 2; then 5 to 6", [1, 2, 5, 6]),
        ("1-3, coda 11-12", [1, 2, 3, 11, 12]),
        (" 7 ", [7]),
        ("1-2,\n1-2", [1, 2, 1, 2]),
    ],
)
def test_a_line_says_the_bars_in_their_order(line, order):
    assert [index + 1 for index in parse_order(twelve(), line)] == order


def test_a_line_of_crowded_bars_ends_before_it_fills_the_memory():
    printed = twelve()
    crowded = replace(printed, notes=printed.notes * 1000)
    with refusal("plays more than 60000 notes"):
        parse_order(crowded, "1-12, " * 300)


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ("1-8, 9-40", "“9-40”: Bar 40 is not in this score, which has bars 1 to 12."),
        ("1-4, 8-5", "“8-5”: The excerpt runs backwards: bar 8 comes after bar 5."),
        ("1-4, banana", "“banana”: Bar banana is not in this score, which has bars 1 to 12."),
        ("1-4, 5 6 7", "“5 6 7” is no bar and no range of bars; please write it like 9 or 10-24."),
        (" , ", "Please write the bars in the order they are played, such as 1-8, 1-7, 9-24."),
        ("1-12," * 400, "The line plays more than 4000 bars; please check it."),
    ],
)
def test_what_cannot_be_read_is_named(line, sentence):
    with refusal() as refused:
        parse_order(twelve(), line)
    assert words(refused.value.sentence) == sentence


@pytest.mark.parametrize("name", CASES)
def test_every_printed_order_is_written_and_read_back(name):
    count, marks, *_ = CASES[name]
    score = read_score(piece(count, marks)).score
    for order in (score.order, score.order_without_repeats):
        assert parse_order(score, print_order(score, order)) == order


def test_halves_of_a_split_bar_have_names_of_their_own():
    data = piece(4).replace(b'<measure number="3">', b'<measure number="2" implicit="yes">')
    score = read_score(data).score
    assert [measure.number for measure in score.measures] == ["1", "2", "2", "4"]
    assert parse_order(score, "1-2") == (0, 1, 2)
    assert print_order(score, (0, 1, 0, 1, 2, 3)) == "1-2:1, 1-2:1, 2:2-4"
    assert parse_order(score, "1-2:1, 1-2:1, 2:2-4") == (0, 1, 0, 1, 2, 3)


def test_first_endings_only():
    score = read_score(piece(6, {2: FIRST, 3: SECOND})).score
    assert print_order(score, score.order_without_repeats) == "1, 3-6"
    assert print_order(score, with_first_endings(score)) == "1-2, 4-6"


def test_first_endings_of_several_bars_and_of_three():
    marks = {
        2: (ending("1", "start"), ""),
        3: ("", ending("1", "stop", repeat=True)),
        4: (ending("2", "start"), ending("2", "stop", repeat=True)),
        5: (ending("3", "start"), ""),
        6: ("", ending("3", "stop")),
    }
    score = read_score(piece(8, marks)).score
    assert print_order(score, with_first_endings(score)) == "1-3, 7-8"


def test_a_cut_leaves_out_every_pass_of_its_bars():
    score = twelve()
    assert print_order(score, without_bars(score, score.order, "3-4, 9")) == "1-2, 1-2, 5-8, 10-12"
    with refusal("leaves no bar"):
        without_bars(score, score.order, "1-12")


def test_a_line_is_played_and_the_rest_is_not_asked():
    score = twelve()
    order = parse_order(score, "1-4, 9-12")
    form = play(score, order=order)
    assert describe(form) == "1-4, 9-12"
    assert form.length_q == 32
    assert unasked(score, order) == {"p1m5", "p1m6", "p1m7", "p1m8"}
