"""Orders of play against worked answers, and forms with every note on one time line.

Worked answers: "alphaTab 2860" is github.com/CoderLine/alphaTab/issues/2860 (bars 1-4, tocoda in 2, dacapo
in 3, coda in 4 -> 1 2 3 1 2 4); the others follow the definitions of MusicXML 4.0 (`<repeat>`, `<ending>`,
`<sound>`).
"""

import pytest

from repertoire.notation.order.forms import describe, order_of_play, play
from repertoire.notation.read.reading import read_score
from repertoire.notation.score import Score
from repertoire.wording.words import words as in_words
from tests.refusals import refusal

from .makers import (
    attributes,
    ending,
    jump,
    note,
    part,
    piece,
    repeat_end,
    repeat_start,
    score,
    words,
)

SEGNO = jump("<segno/>", 'segno="s"')
CODA = jump("<coda/>", 'coda="c"')
TO_CODA = jump(words("To Coda"), 'tocoda="c"')
FINE = jump(words("Fine"), 'fine="yes"')
DC_CODA = jump(words("D.C. al Coda"), 'dacapo="yes"')
DC_FINE = jump(words("D.C. al Fine"), 'dacapo="yes"')
DS_CODA = jump(words("D.S. al Coda"), 'dalsegno="s"')
DS_FINE = jump(words("D.S. al Fine"), 'dalsegno="s"')
FIRST = (ending("1", "start"), ending("1", "stop", repeat=True))
SECOND = (ending("2", "start"), ending("2", "discontinue"))

# name: (bars, marks, with repeats, without repeats, whether the two readings agree)
CASES = {
    "plain": (3, {}, "1 2 3", "1 2 3", True),
    "repeat from the start": (4, {2: ("", repeat_end())}, "1 2 1 2 3 4", "1 2 3 4", True),
    "repeat in the middle": (
        6,
        {2: (repeat_start(), ""), 4: ("", repeat_end())},
        "1 2 3 4 2 3 4 5 6",
        "1 2 3 4 5 6",
        True,
    ),
    "three times": (3, {2: ("", repeat_end(3))}, "1 2 1 2 1 2 3", "1 2 3", True),
    "two repeats in a row": (
        4,
        {2: ("", repeat_end()), 3: (repeat_start(), ""), 4: ("", repeat_end())},
        "1 2 1 2 3 4 3 4",
        "1 2 3 4",
        True,
    ),
    "first and second ending": (4, {2: FIRST, 3: SECOND}, "1 2 1 3 4", "1 3 4", True),
    "ending for two passes": (
        4,
        {2: (ending("1, 2", "start"), ending("1, 2", "stop", repeat=True)), 3: (ending("3", "start"), "")},
        "1 2 1 2 1 3 4",
        "1 3 4",
        True,
    ),
    "endings of two bars": (
        6,
        {
            2: (ending("1", "start"), ""),
            3: ("", ending("1", "stop", repeat=True)),
            4: (ending("2", "start"), ""),
            5: ("", ending("2", "stop")),
        },
        "1 2 3 1 4 5 6",
        "1 4 5 6",
        True,
    ),
    "da capo to the coda (alphaTab 2860)": (
        4,
        {2: ("", TO_CODA), 3: ("", DC_CODA), 4: (CODA, "")},
        "1 2 3 1 2 4",
        "1 2 3 1 2 4",
        True,
    ),
    "da capo al fine": (4, {2: ("", FINE), 4: ("", DC_FINE)}, "1 2 3 4 1 2", "1 2 3 4 1 2", True),
    # The same shape as partitura's own unfold test (D.C. al fine with repeats, 8 bars become 24 in its file).
    "da capo al fine after repeats": (
        8,
        {4: ("", FINE + repeat_end()), 5: (repeat_start(), ""), 8: ("", repeat_end() + DC_FINE)},
        "1 2 3 4 1 2 3 4 5 6 7 8 5 6 7 8 1 2 3 4",
        "1 2 3 4 5 6 7 8 1 2 3 4",
        True,
    ),
    "dal segno to the coda": (
        8,
        {2: (SEGNO, ""), 4: ("", TO_CODA), 6: ("", DS_CODA), 7: (CODA, "")},
        "1 2 3 4 5 6 2 3 4 7 8",
        "1 2 3 4 5 6 2 3 4 7 8",
        True,
    ),
    "dal segno al fine": (
        6,
        {2: (SEGNO, ""), 4: ("", FINE), 6: ("", DS_FINE)},
        "1 2 3 4 5 6 2 3 4",
        None,
        True,
    ),
    # music21 takes the first ending both times here, so it is not asked.
    "endings and da capo": (
        8,
        {2: FIRST, 3: SECOND, 5: ("", FINE), 8: ("", DC_FINE)},
        "1 2 1 3 4 5 6 7 8 1 3 4 5",
        "1 3 4 5 6 7 8 1 3 4 5",
        False,
    ),
    # Marks that sound without printed words, in the measure itself: music21 does not see them.
    "sound without words": (
        4,
        {2: ("", '<sound fine="yes"/>'), 4: ("", '<sound dacapo="yes"/>')},
        "1 2 3 4 1 2",
        "1 2 3 4 1 2",
        False,
    ),
    # Words alone, as some programs write them: the stored score spells the jump out.
    "words without sound": (
        4,
        {
            2: ("", f"<direction><direction-type>{words('Fine')}</direction-type></direction>"),
            4: ("", f"<direction><direction-type>{words('D.C. al Fine')}</direction-type></direction>"),
        },
        "1 2 3 4 1 2",
        "1 2 3 4 1 2",
        True,
    ),
    "signs without sound": (
        6,
        {
            2: ("<direction><direction-type><segno/></direction-type></direction>", ""),
            3: ("", "<direction><direction-type><coda/></direction-type></direction>"),
            4: ("", f"<direction><direction-type>{words('D.S. al Coda')}</direction-type></direction>"),
            5: ("<direction><direction-type><coda/></direction-type></direction>", ""),
        },
        "1 2 3 4 2 3 5 6",
        "1 2 3 4 2 3 5 6",
        None,
    ),
}


def spelled(read: Score, order: tuple[int, ...]) -> str:
    return " ".join(read.measures[index].number for index in order)


@pytest.mark.parametrize("name", CASES)
def test_worked_orders(name):
    count, marks, with_repeats, without, agreed = CASES[name]
    canonical = read_score(piece(count, marks))
    answer = order_of_play(canonical.musicxml)
    assert spelled(canonical.score, canonical.score.order) == with_repeats
    assert answer.order == canonical.score.order
    if without is not None:
        assert spelled(canonical.score, canonical.score.order_without_repeats) == without
    if agreed is not None:
        assert answer.agreed is agreed, answer
        assert (answer.other_order == answer.order) is agreed


def test_order_that_could_not_be_checked_asks_for_confirmation_in_bars():
    count, marks, *_ = CASES["endings and da capo"]
    answer = order_of_play(read_score(piece(count, marks)).musicxml)
    assert answer.other_order is None
    assert "1-2, 1, 3-8, 1, 3-5" in in_words(answer.note)


def test_form_places_every_pass_on_one_time_line():
    form = play(read_score(piece(3, {2: ("", repeat_end())})).score)
    assert [(bar.measure_index, bar.pass_number, bar.start_q) for bar in form.bars] == [
        (0, 1, 0),
        (1, 1, 4),
        (0, 2, 8),
        (1, 2, 12),
        (2, 1, 16),
    ]
    assert form.length_q == 20
    assert len(form.notes) == 20
    assert [n.start_q for n in form.notes] == [float(k) for k in range(20)]
    again = form.notes[8]
    assert (again.note.note_id, again.pass_number, again.position) == ("p1m1n1", 2, 2)


def test_form_without_repeats_takes_the_last_ending():
    read = read_score(piece(4, {2: FIRST, 3: SECOND})).score
    form = play(read, with_repeats=False)
    assert describe(form) == "1, 3-4"
    assert all(n.pass_number == 1 for n in form.notes)


@pytest.mark.parametrize(
    ("name", "with_repeats", "text"),
    [
        ("repeat in the middle", True, "1-4, 2-4, 5-6"),
        ("repeat in the middle", False, "1-6"),
        ("two repeats in a row", True, "1-2, 1-2, 3-4, 3-4"),
        ("first and second ending", True, "1-2, 1, 3-4"),
        ("dal segno to the coda", True, "1-6, 2-4, 7-8"),
    ],
)
def test_describe(name, with_repeats, text):
    count, marks, *_ = CASES[name]
    assert describe(play(read_score(piece(count, marks)).score, with_repeats=with_repeats)) == text


@pytest.mark.parametrize(
    ("name", "bounds", "text"),
    [
        ("plain", ("2", "3"), "2-3"),
        ("plain", ("2", "2"), "2"),
        ("repeat in the middle", ("2", "6"), "2-4, 2-4, 5-6"),
        ("repeat in the middle", ("3", "6"), "3-6"),  # the repeat begins before the excerpt
        ("first and second ending", ("1", "4"), "1-2, 1, 3-4"),
        ("endings of two bars", ("1", "3"), "1-3"),
        ("da capo al fine", ("2", "3"), "2-3"),  # the jump leaves the excerpt
    ],
)
def test_excerpts_from_bar_to_bar(name, bounds, text):
    count, marks, *_ = CASES[name]
    form = play(read_score(piece(count, marks)).score, bars=bounds)
    assert describe(form) == text
    assert form.bars[0].start_q == 0
    assert form.notes[0].start_q == 0


def test_excerpt_of_bars_that_are_not_there():
    read = read_score(piece(4)).score
    with refusal("Bar 9 is not in this score, which has bars 1 to 4"):
        play(read, bars=("2", "9"))
    with refusal("bar 3 comes after bar 2"):
        play(read, bars=("3", "2"))


def pickup_piece() -> Score:
    """A pickup of one quarter, a repeat that ends with three quarters, and its second half."""
    pickup = f'<measure number="0" implicit="yes">{attributes()}{note("G")}</measure>'
    each = f'<measure number="1">{note() * 4}</measure>'
    two = f'<measure number="2">{note() * 3}{repeat_end()}</measure>'
    half = f'<measure number="X1" implicit="yes">{repeat_start()}{note("D")}</measure>'
    three = f'<measure number="3">{note() * 3}{repeat_end()}</measure>'
    return read_score(score(part([pickup, each, two, half, three]))).score


def test_pickups_fit_without_gaps():
    form = play(pickup_piece())
    assert describe(form) == "0-2, 0-2, 2-3, 2-3"
    assert form.length_q == 2 * 8 + 2 * 4
    starts = [n.start_q for n in form.notes]
    assert starts == [float(k) for k in range(24)]


def test_grace_notes_stand_at_the_main_note():
    content = note("C") + note("D", head="<grace/>") + note("E")
    read = read_score(score(part([f'<measure number="1">{attributes()}{content}</measure>']))).score
    placed = [(n.note.grace, n.start_q, n.duration_q) for n in play(read).notes]
    assert placed == [(False, 0, 1), (True, 1, 0), (False, 1, 1)]


def tied_over_endings() -> Score:
    """Bar 1 ends with a note tied into both the first ending (bar 2) and the second (bar 3)."""
    start, stop = '<tie type="start"/>', '<tie type="stop"/>'
    each = f'<measure number="1">{attributes()}{note("C") * 3}{note("A", after_duration=start)}</measure>'
    two = f'<measure number="2">{FIRST[0]}{note("A", after_duration=stop)}{note("D") * 3}{FIRST[1]}</measure>'
    three = (
        f'<measure number="3">{SECOND[0]}{note("A", after_duration=stop)}{note("E") * 3}{SECOND[1]}</measure>'
    )
    return read_score(score(part([each, two, three]))).score


def test_tie_is_cut_where_the_music_jumps_away():
    form = play(tied_over_endings())
    lengths = [n.duration_q for n in form.notes if n.note.note_id == "p1m1n4"]
    assert lengths == [2.0, 1.0]


def test_excerpt_that_enters_amid_a_tie_strikes_the_note():
    start, stop = '<tie type="start"/>', '<tie type="stop"/>'
    each = f'<measure number="1">{attributes()}{note() * 3}{note("A", after_duration=start)}</measure>'
    two = f'<measure number="2">{note("A", after_duration=stop)}{note() * 3}</measure>'
    read = read_score(score(part([each, two]))).score
    whole, entered = play(read), play(read, bars=("2", "2"))
    assert len(whole.notes) == 7
    assert [n.note.note_id for n in entered.notes] == ["p1m2n1", "p1m2n2", "p1m2n3", "p1m2n4"]
    assert entered.notes[0].duration_q == 1
