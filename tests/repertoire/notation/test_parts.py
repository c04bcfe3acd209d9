"""Parts and voices to choose from, and what is left when one voice is taken."""

import pytest

from repertoire.notation.read.parts import SeveralParts
from repertoire.notation.read.reading import read_score, read_score_in_child
from tests.refusals import refusal

from .makers import attributes, bars, note, part, repeat_end, rest, score

BACK = "<backup><duration>8</duration></backup>"


def two_voices() -> bytes:
    """Bar 1: four quarters above two halves; bar 2: a whole note above nothing; both repeated."""
    upper = "".join(note(step) for step in "CDEF")
    lower = note("A", 4, 4, kind="half", voice=2) + note("G", 4, 4, kind="half", voice=2)
    mark = "<direction><direction-type><dynamics><f/></dynamics></direction-type></direction>"
    each = f'<measure number="1">{attributes()}{mark}{upper}{BACK}{lower}</measure>'
    two = f'<measure number="2">{note("G", 5, 8, kind="whole")}{repeat_end()}</measure>'
    return score(part([each, two]))


def choices(data: bytes) -> list[tuple[str, str, str, int, int]]:
    with pytest.raises(SeveralParts) as several:
        read_score_in_child(data, ask=True)
    return [(c.key, c.name, c.voice, c.bars, c.notes) for c in several.value.choices]


def test_parts_are_listed_with_their_size_and_silent_ones_left_out():
    silent = f'<measure number="1">{attributes()}{rest(8)}</measure>'
    data = score(
        part(bars(3)),
        part([silent], part_id="P2"),
        part(bars(2), part_id="P3"),
        names=("Flute", "Drums", ""),
    )
    assert choices(data) == [("1", "Flute", "", 3, 12), ("3", "", "", 2, 8)]
    assert len(read_score_in_child(data, choice="3", ask=True).score.measures) == 2


def test_one_part_is_not_asked_about():
    assert len(read_score_in_child(score(part(bars(3))), ask=True).score.notes) == 12


def test_voices_of_one_part():
    assert choices(two_voices()) == [
        ("1", "Violin", "", 2, 7),
        ("1v1", "Violin", "1", 2, 5),
        ("1v2", "Violin", "2", 1, 2),
    ]


def test_a_voice_alone_keeps_bars_marks_and_repeats():
    whole = read_score(two_voices(), choice="1").score
    upper = read_score(two_voices(), choice="1v1").score
    lower = read_score(two_voices(), choice="1v2").score
    assert len(whole.notes) == 7
    assert [n.midi for n in upper.notes] == [72, 74, 76, 77, 79]
    assert [(n.measure_index, n.start_q, n.midi) for n in lower.notes] == [(0, 0, 69), (0, 2, 67)]
    assert [bar.length_q for bar in lower.measures] == [4, 4]
    assert lower.order == whole.order == (0, 1, 0, 1)
    assert [d.text for d in lower.dynamics] == ["f"]


def test_a_voice_on_the_second_staff_keeps_its_clef():
    clefs = (
        '<clef number="1"><sign>G</sign><line>2</line></clef>'
        '<clef number="2"><sign>F</sign><line>4</line></clef>'
    )
    head = attributes().replace("<clef><sign>G</sign><line>2</line></clef>", f"<staves>2</staves>{clefs}")
    right = note("C", 5, 8).replace("</note>", "<staff>1</staff></note>")
    left = note("C", 3, 4, voice=5).replace("</note>", "<staff>2</staff></note>") * 2
    read = read_score(score(part([f'<measure number="1">{head}{right}{BACK}{left}</measure>'])), choice="1v5")
    assert [n.midi for n in read.score.notes] == [48, 48]
    assert "<sign>F</sign>" in read.musicxml
    assert "<sign>G</sign>" not in read.musicxml
    assert "staves" not in read.musicxml


@pytest.mark.parametrize("choice", ["9", "x", "", "0", "1v7"])
def test_choices_that_are_not_there(choice):
    with refusal():
        read_score(two_voices(), choice=choice)
