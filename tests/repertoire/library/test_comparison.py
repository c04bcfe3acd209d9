"""What a corrected score changes is said bar by bar."""

import pytest

from repertoire.library.comparison import changes_between, same_bars
from repertoire.notation.read.reading import read_score
from tests.repertoire.notation.makers import attributes, bars, note, part, piece, repeat_end, score


def of(notes: str, *, head: str = "", after: str = "") -> str:
    """Bar 22 after a plain bar 21."""
    return score(
        part(
            [
                f'<measure number="21">{attributes()}{note() * 4}</measure>',
                f'<measure number="22">{head}{notes}{after}</measure>',
            ]
        )
    )


OLD = of(note("A", 4) + note("B", 4) + note("C") + note("D"))


@pytest.mark.parametrize(
    ("new", "wording"),
    [
        (
            of(note("A", 4) + note("B", 4, alter=-1) + note("C") + note("D")),
            ["Bar 22: the second note is now B flat, was B."],
        ),
        (
            of(note("A", 4) + note("B", 5) + note("C") + note("D")),
            ["Bar 22: the second note is now B 5, was B 4."],
        ),
        (
            of(note("A", 4) + note("B", 4) + note("C", duration=3) + note("D", duration=1)),
            [
                "Bar 22: the third note is now dotted quarter note, was quarter note; "
                "the fourth note is now eighth note, was quarter note."
            ],
        ),
        (
            of(note("A", 4) + note("B", 4) + note("C", duration=1) + note("E", duration=1) + note("D")),
            ["Bar 22: 5 notes now, 4 before; new: E."],
        ),
        (
            of(note("A", 4) + note("B", 4) + note("C") + note("D"), after=repeat_end()),
            ["The order of play is now 21-22, 21-22, was 21-22."],
        ),
        (
            of(
                note("A", 4, notations="<articulations><staccato/></articulations>")
                + note("B", 4)
                + note("C")
                + note("D")
            ),
            ["Bar 22: slurs, dynamics or signs on the notes differ."],
        ),
        (OLD, []),
    ],
)
def test_what_is_reported(new, wording):
    assert changes_between(read_score(OLD).score, read_score(new).score) == wording


def test_bars_that_come_and_go():
    old, new = read_score(piece(5)).score, read_score(piece(3)).score
    assert changes_between(old, new) == [
        "The order of play is now 1-3, was 1-5.",
        "Bars 4, 5 are no longer there.",
    ]
    assert changes_between(new, old)[1] == "Bars 4, 5 are new."
    assert same_bars(old, new) == {0: 0, 1: 1, 2: 2}


def test_a_new_key_counts_its_notes():
    old = read_score(score(part(bars(2)))).score
    new = read_score(score(part(bars(2, first=attributes(fifths=1))))).score
    assert changes_between(old, new)[0].startswith("Bar 1: now G major, was C major")
