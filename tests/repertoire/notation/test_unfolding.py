"""The order of play on published unfoldings, on cases of our own and on signs that contradict each other.

"partitura" are the unfold pairs of its tests (github.com/CPJKU/partitura, tests/data/musicxml/), with their
bars and signs written out here. It takes repeats after a da capo; MusicXML leaves that to `after-jump`, so
they stand here twice: as printed, and with `after-jump="yes"` as partitura unfolds them.
"""

from pathlib import Path

import pytest

from repertoire.notation.order.forms import describe, order_of_play, play
from repertoire.notation.read.reading import load_canonical, read_score
from tests.refusals import refusal

from .makers import attributes, bars, ending, jump, note, part, piece, repeat_end, repeat_start, score, words
from .test_forms import CODA, DC_CODA, DC_FINE, DS_CODA, DS_FINE, FINE, SEGNO, TO_CODA, spelled

SCORES = Path(__file__).resolve().parents[3] / "fixtures" / "scores"
AGAIN = '<barline location="right"><repeat direction="backward" after-jump="yes"/></barline>'
NOT_AGAIN = '<barline location="right"><repeat direction="backward" after-jump="no"/></barline>'


def box(numbers: str, *, repeat: bool = True) -> tuple[str, str]:
    return ending(numbers, "start"), ending(numbers, "stop", repeat=repeat)


def dacapo_pair(end: str) -> dict[int, tuple[str, str]]:
    return {
        2: ("", end),
        3: (repeat_start(), ""),
        4: ("", FINE + end),
        5: (repeat_start(), ""),
        6: ("", end),
        7: (repeat_start(), ""),
        8: ("", DC_FINE + end),
    }


def complex_pair(end: str) -> dict[int, tuple[str, str]]:
    return {
        1: ("", end),
        3: (repeat_start(), ""),
        4: ("", FINE),
        5: box("1"),
        6: (ending("2", "start"), ""),
        7: ("", ending("2", "stop", repeat=True)),
        8: (ending("3", "start"), DC_FINE + ending("3", "stop")),
    }


VOLTAS = {
    1: ("", repeat_end()),
    3: (repeat_start(), ""),
    5: box("1, 4, 5"),
    6: (ending("2", "start"), ""),
    7: ("", ending("2", "stop", repeat=True)),
    8: box("3"),
}

# name: (bars, marks, order of play)
PUBLISHED = {
    "partitura dacapo, as it unfolds it: 24 bars": (
        8,
        dacapo_pair(AGAIN),
        "1 2 1 2 3 4 3 4 5 6 5 6 7 8 7 8 1 2 1 2 3 4 3 4",
    ),
    "partitura dacapo, as printed: repeats are not taken again": (
        8,
        dacapo_pair(repeat_end()),
        "1 2 1 2 3 4 3 4 5 6 5 6 7 8 7 8 1 2 3 4",
    ),
    "partitura complex, as it unfolds it: 18 bars": (
        8,
        complex_pair(AGAIN),
        "1 1 2 3 4 5 3 4 6 7 3 4 8 1 1 2 3 4",
    ),
    "partitura complex, as printed": (8, complex_pair(repeat_end()), "1 1 2 3 4 5 3 4 6 7 3 4 8 1 2 3 4"),
    "partitura volta numbers: 19 bars": (8, VOLTAS, "1 1 2 3 4 5 3 4 6 7 3 4 8 3 4 5 3 4 5"),
    "partitura timeline: one bar twice": (1, {1: (repeat_start(), repeat_end())}, "1 1"),
    "alphaTab 2860": (4, {2: ("", TO_CODA), 3: ("", DC_CODA), 4: (CODA, "")}, "1 2 3 1 2 4"),
    # The definitions of MusicXML 4.0 for `times` and `after-jump`, each on the smallest piece.
    "MusicXML times": (3, {2: ("", repeat_end(3))}, "1 2 1 2 1 2 3"),
    "MusicXML after-jump yes": (
        6,
        {2: ("", AGAIN), 4: ("", FINE), 6: ("", DC_FINE)},
        "1 2 1 2 3 4 5 6 1 2 1 2 3 4",
    ),
    "MusicXML after-jump no": (
        6,
        {2: ("", NOT_AGAIN), 4: ("", FINE), 6: ("", DC_FINE)},
        "1 2 1 2 3 4 5 6 1 2 3 4",
    ),
}
OWN = {
    "nested repeats": (
        6,
        {1: (repeat_start(), ""), 2: (repeat_start(), ""), 3: ("", repeat_end()), 5: ("", repeat_end())},
        "1 2 3 2 3 4 5 1 2 3 2 3 4 5 6",
    ),
    "repeats without starts": (5, {2: ("", repeat_end()), 4: ("", repeat_end())}, "1 2 1 2 3 4 3 4 5"),
    "endings 1,2 and 3": (5, {3: box("1,2"), 4: box("3", repeat=False)}, "1 2 3 1 2 3 1 2 4 5"),
    "a first ending alone": (4, {3: box("1")}, "1 2 3 1 2 4"),
    "D.S. al Fine, segno at a repeat": (
        8,
        {3: (SEGNO + repeat_start(), ""), 4: ("", repeat_end()), 6: ("", FINE), 8: ("", DS_FINE)},
        "1 2 3 4 3 4 5 6 7 8 3 4 5 6",
    ),
    "D.S. al Coda over a repeat": (
        9,
        {
            2: (SEGNO, ""),
            3: (repeat_start(), ""),
            4: ("", repeat_end()),
            5: ("", TO_CODA),
            7: ("", DS_CODA),
            8: (CODA, ""),
        },
        "1 2 3 4 3 4 5 6 7 2 3 4 5 8 9",
    ),
    "D.C. with repeats": (
        7,
        {3: ("", AGAIN), 5: ("", FINE), 7: ("", DC_FINE)},
        "1 2 3 1 2 3 4 5 6 7 1 2 3 1 2 3 4 5",
    ),
    "D.C. without repeats takes the last ending": (
        6,
        {2: box("1"), 3: box("2", repeat=False), 4: ("", FINE), 6: ("", DC_FINE)},
        "1 2 1 3 4 5 6 1 3 4",
    ),
    "endings with D.S. al Coda": (
        9,
        {
            2: (SEGNO, ""),
            3: box("1"),
            4: box("2", repeat=False),
            5: ("", TO_CODA),
            7: ("", DS_CODA),
            8: (CODA, ""),
        },
        "1 2 3 1 2 4 5 6 7 2 4 5 8 9",
    ),
}


@pytest.mark.parametrize("name", [*PUBLISHED, *OWN])
def test_order_of_play(name):
    count, marks, order = (PUBLISHED | OWN)[name]
    read = read_score(piece(count, marks)).score
    assert spelled(read, read.order) == order


def test_pickup_and_a_split_bar():
    """Pickup, repeat that ends amid bar 2, its second half before the next repeat."""
    measures = [
        f'<measure number="0" implicit="yes">{attributes()}{note("G")}</measure>',
        f'<measure number="1">{note() * 4}</measure>',
        f'<measure number="2">{note() * 3}{repeat_end()}</measure>',
        f'<measure number="X1" implicit="yes">{repeat_start()}{note("D")}</measure>',
        f'<measure number="3">{note() * 3}{repeat_end()}{DC_FINE}</measure>',
    ]
    measures[2] = measures[2].replace("</measure>", f"{FINE}</measure>")
    read = read_score(score(part(measures))).score
    assert spelled(read, read.order) == "0 1 2 0 1 2 2 3 2 3 0 1 2"


def test_a_jump_for_one_pass_only():
    """`time-only` says at which time the bar is reached the jump is made."""
    marks = {4: ("", jump(words("D.C."), 'dacapo="yes" time-only="2"'))}
    read = read_score(piece(4, marks | {1: (repeat_start(), "")} | {3: ("", repeat_end())})).score
    assert spelled(read, read.order) == "1 2 3 1 2 3 4"


@pytest.mark.parametrize(
    ("count", "marks", "sentence"),
    [
        (4, {3: box("2", repeat=False)}, "Bar 3: there is an ending for time 2 but none for time 1"),
        (5, {2: box("1"), 3: box("3", repeat=False)}, "Bar 2: .* time 3 but none for time 2"),
        (4, {3: box("")}, "Bar 3: an ending does not say for which time"),
        (4, {2: ("", FINE), 4: ("", DS_FINE)}, "Bar 4: it goes back to a segno, but none is printed"),
        (6, {2: ("", DS_FINE), 4: (SEGNO, ""), 5: ("", FINE)}, "Bar 2: .*only later .bar 4."),
        (4, {2: ("", TO_CODA), 4: ("", DC_CODA)}, "Bar 2: it leads to a coda, but none is printed"),
        (6, {2: (CODA, ""), 4: ("", TO_CODA), 6: ("", DC_CODA)}, "Bar 4: .*comes before it .bar 2."),
        (
            5,
            {
                2: (ending("1", "start"), ""),
                3: box("2"),
                4: ("", ending("1", "stop")),
            },
            "Bar 4: one ending lies inside another",
        ),
        (3, {2: ("", repeat_end(99))}, "Bar 2: a repeat is to be played more than 16 times"),
    ],
)
def test_contradictions_are_refused_with_their_bar(count, marks, sentence):
    with refusal(sentence):
        read_score(piece(count, marks))


@pytest.mark.parametrize("marks", [{2: ("", repeat_end())}, {2: ("", FINE)}, {3: (repeat_start(), "")}])
def test_what_is_merely_unfinished_is_read(marks):
    assert read_score(piece(4, marks)).score.order


def test_a_contradicting_score_kept_before_can_still_be_opened():
    good = read_score(piece(4, {4: ("", DS_FINE), 2: (SEGNO, "")})).musicxml
    bad = good.replace('segno="s"', 'fine="no"', 1)
    assert load_canonical(bad).order


def test_many_nested_repeats_end_in_a_sentence():
    """Twenty repeats inside each other would be played a million times."""
    starts = repeat_start() * 1
    marks = dict.fromkeys(range(1, 21), (starts, "")) | {k: ("", repeat_end()) for k in range(21, 41)}
    with refusal("contradict"):
        read_score(score(part(bars(40, marks))))


# As the marks in `fixtures/make_scores.py` ask: endings, a repeat after a pickup, D.C. al Coda.
DEMO = {
    "cello": "1-20",
    "clarinet": "1-10, 1-4, 11-16",
    "double_bass": "0-16, 9-16",
    "flute": "1-24",
    "horn": "1-16",
    "violin": "1-8, 1-7, 9-16",
}


@pytest.mark.parametrize("name", DEMO)
def test_demo_etudes(name):
    read = read_score((SCORES / f"{name}.musicxml").read_bytes())
    assert describe(play(read.score)) == DEMO[name]
    assert order_of_play(read.musicxml).agreed
