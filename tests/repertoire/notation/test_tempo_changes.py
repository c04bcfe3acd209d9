"""Changes of tempo written into a stored score, and taken out again."""

from dataclasses import replace

import pytest

from repertoire.notation.draw.engraving import engrave
from repertoire.notation.read.reading import load_canonical, read_score
from repertoire.notation.score import TempoMark
from repertoire.notation.write.tempo_changes import TempoChange, write_tempos, written_tempos
from tests.refusals import refusal
from tests.repertoire.notation.drawing import measured
from tests.repertoire.notation.makers import piece, words

SLOWER = TempoChange("3", bpm=60.0, beat_unit_q=1.5)
RIT = TempoChange("4", word="rit.")
METRONOME = "<metronome><beat-unit>quarter</beat-unit><per-minute>{}</per-minute></metronome>"


def direction(kind: str) -> str:
    return f"<direction><direction-type>{kind}</direction-type></direction>"


@pytest.fixture
def kept() -> str:
    return read_score(piece(5, {1: (direction(words("dolce")), "")})).musicxml


def test_nothing_written_leaves_the_text_as_it_was(kept):
    assert write_tempos(kept, ()) == kept


def test_what_is_written_is_read_as_print_and_ids_stay(kept):
    before, after = load_canonical(kept), load_canonical(write_tempos(kept, [SLOWER, RIT]))
    assert after.tempo_marks == (TempoMark(2, 0.0, 60.0, 1.5), TempoMark(3, 0.0, None, 1.0, "rit."))
    assert replace(after, tempo_marks=()) == replace(before, tempo_marks=())


def test_it_is_found_again_and_taken_out_again(kept):
    both = write_tempos(kept, [SLOWER, RIT], begins_q_per_minute=96.0)
    assert written_tempos(both) == (SLOWER, RIT)
    assert written_tempos(write_tempos(both, [RIT])) == (RIT,)
    assert write_tempos(both, ()) == kept


def test_two_in_one_bar_stand_in_their_order(kept):
    both = write_tempos(kept, [replace(RIT, bar="3", word="a tempo"), SLOWER])
    assert written_tempos(both) == (TempoChange("3", word="a tempo"), SLOWER)


def test_a_change_needs_a_tempo_to_change_from(kept):
    marks = load_canonical(write_tempos(kept, [SLOWER], begins_q_per_minute=96.0)).tempo_marks
    assert marks[0] == TempoMark(0, 0.0, 96.0, 1.0, printed=False)
    printed = read_score(piece(5, {1: (direction(METRONOME.format(72)), "")})).musicxml
    marks = load_canonical(write_tempos(printed, [SLOWER], begins_q_per_minute=96.0)).tempo_marks
    assert [mark.bpm for mark in marks] == [72.0, 60.0]


def test_it_is_drawn_in_the_music(kept):
    plain, written = engrave(kept, width_px=900), engrave(write_tempos(kept, [SLOWER, RIT]), width_px=900)
    assert "rit." in written
    assert "rit." not in plain
    assert set(measured(written).note_boxes) == set(measured(plain).note_boxes)


@pytest.mark.parametrize(
    ("change", "wording"),
    [
        (replace(RIT, bar="9"), "Bar 9 is not in this score, which has bars 1 to 5."),
        (replace(SLOWER, bar="1"), "Bar 1 is the beginning"),
        (replace(SLOWER, bar="2"), "Bar 2 begins with a tempo already"),
    ],
)
def test_what_cannot_be_written_is_reported(change, wording):
    printed = read_score(piece(5, {2: (direction(METRONOME.format(72)), "")})).musicxml
    with refusal(wording):
        write_tempos(printed, [change])


def test_one_bar_has_one_tempo(kept):
    with refusal("already"):
        write_tempos(kept, [SLOWER, replace(SLOWER, bpm=50.0)])
