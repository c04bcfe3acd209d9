"""The score in words, bar by bar."""

import pytest

from repertoire.notation.draw.engraving import reading_text
from repertoire.notation.draw.wording import length_name
from repertoire.notation.read.reading import read_score

from .makers import attributes, note, part, piece, rest, score, words


def direction(kind: str, sound: str = "") -> str:
    return f"<direction><direction-type>{kind}</direction-type>{sound}</direction>"


def test_first_bar_names_metre_key_and_tempo_and_later_bars_only_changes():
    tempo = direction(words("Allegro"), '<sound tempo="120"/>')
    first, second = reading_text(read_score(piece(2, {1: (tempo, "")}, first=attributes(fifths=-2))).score)
    assert first.text.startswith("Bar 1: 4/4 time, two flats, Allegro (quarter note = 120), D 5 quarter, E 5")
    assert second.text.startswith("Bar 2: E 5 quarter")
    assert (second.measure_id, second.number) == ("p1m2", "2")


def test_rests_chords_grace_notes_and_marks():
    content = (
        rest(2)
        + note("D", head="<grace/>")
        + note("B", 4, alter=-1, notations="<articulations><staccato/></articulations>")
        + note("F", 5, alter=1)
        + note("A", 5, head="<chord/>")
        + rest(2)
    )
    (bar,) = reading_text(
        read_score(score(part([f'<measure number="1">{attributes()}{content}</measure>']))).score
    )
    assert bar.text == (
        "Bar 1: 4/4 time, no sharps or flats, quarter rest, grace note D 5, B flat 4 quarter staccato, "
        "together: F sharp 5 quarter and A 5 quarter, quarter rest."
    )


def test_empty_bars_held_notes_and_hairpins():
    tie, tied = '<tie type="start"/>', '<tie type="stop"/>'
    pin, end = direction('<wedge type="crescendo"/>'), direction('<wedge type="stop"/>')
    held = note("C", duration=8, kind="whole", after_duration=tie)
    one = f'<measure number="1">{attributes()}{pin}{held}</measure>'
    two = f'<measure number="2">{note("C", duration=8, kind="whole", after_duration=tied)}{end}</measure>'
    three = f'<measure number="3">{rest(8)}</measure>'
    texts = [bar.text for bar in reading_text(read_score(score(part([one, two, three]))).score)]
    assert texts[0].endswith("crescendo begins, C 5 double whole.")
    assert texts[1] == "Bar 2: crescendo ends, held from the bar before."
    assert texts[2] == "Bar 3: rest."


@pytest.mark.parametrize(
    ("quarters", "name"),
    [(1.5, "dotted quarter"), (1 / 3, "triplet eighth"), (0.25, "sixteenth"), (5, "5 quarters long")],
)
def test_lengths(quarters, name):
    assert length_name(quarters) == name
