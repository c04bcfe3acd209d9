"""Spelling by the line of fifths, and one name for one key wherever a pitch is named."""

from dataclasses import replace

import pytest

from repertoire.notation.numerals import clock, plain_number
from repertoire.notation.pitches import (
    WrittenPitch,
    key_alter,
    midi_of,
    name_at,
    spelled_in_key,
    spelled_without_key,
)
from repertoire.notation.read.reading import read_score
from tests.repertoire.notation.makers import attributes, note, part, piece, score

# The twelve keys from C upwards as theory books spell them; common practice, no published source.
SPELLED = {
    0: "C C♯ D E♭ E F F♯ G G♯ A B♭ B",
    2: "C C♯ D D♯ E F F♯ G G♯ A A♯ B",
    -3: "C D♭ D E♭ E F G♭ G A♭ A B♭ B",
    4: "B♯ C♯ D D♯ E E♯ F♯ G G♯ A A♯ B",
}


@pytest.mark.parametrize(("fifths", "names"), SPELLED.items())
def test_twelve_keys_are_spelled_by_the_key(fifths, names):
    spelled = [spelled_in_key(midi, fifths) for midi in range(60, 72)]
    assert " ".join(pitch.name.rstrip("0123456789") for pitch in spelled) == names
    assert [pitch.midi for pitch in spelled] == list(range(60, 72))


@pytest.mark.parametrize(("midi", "name"), [(60, "C4"), (69, "A4"), (34, "B♭1"), (100, "E7"), (56, "A♭3")])
def test_tunings_and_ranges_have_no_key(midi, name):
    assert spelled_without_key(midi).name == name


def test_octaves_count_letters_so_a_c_flat_lies_in_the_octave_above_the_b_it_sounds():
    assert spelled_in_key(59, -7) == WrittenPitch("C", -1, 4)
    assert spelled_in_key(60, 7) == WrittenPitch("B", 1, 3)


@pytest.mark.parametrize(("name", "midi"), [("C4", 60), ("F#3", 54), ("Bb1", 34), ("C-1", 0)])
def test_typed_names_are_read_back(name, midi):
    assert midi_of(name) == midi
    assert spelled_without_key(midi).typed_name == name


@pytest.mark.parametrize("name", ["", "H4", "C", "c4", "C##4", "♭4"])
def test_anything_else_is_no_pitch(name):
    with pytest.raises(ValueError, match="is not a pitch"):
        midi_of(name)


def test_a_double_flat_is_written_as_one_thing():
    assert WrittenPitch("B", -2, 3).name == "B♭♭3"


def test_key_signatures_and_tonics():
    assert [key_alter(letter, -2) for letter in "CDEFGAB"] == [0, 0, -1, 0, 0, 0, -1]
    assert [key_alter(letter, 3) for letter in "CDEFGAB"] == [1, 0, 0, 1, 1, 0, 0]
    assert [name_at(fifths) for fifths in (-7, -2, 0, 6, 10)] == ["C♭", "B♭", "C", "F♯", "A♯"]


def test_what_was_heard_is_named_as_the_bar_prints_it_and_else_by_the_key():
    """A D sharp printed in A minor and the same key an octave lower are not an E flat."""
    printed = f'<measure number="1">{attributes()}{note("D", 5, alter=1)}{note() * 3}</measure>'
    plain = f'<measure number="2">{note() * 4}</measure>'
    read = read_score(score(part([printed, plain]))).score
    assert read.written_pitch(63, 0).name == "D♯4"
    assert read.written_pitch(63, 1).name == "E♭4"
    assert read.written_pitch(63).name == "D♯4"


def test_what_was_heard_is_named_as_the_player_reads_it():
    horn = "<transpose><diatonic>-4</diatonic><chromatic>-7</chromatic></transpose>"
    read = read_score(piece(2, first=attributes(fifths=-1, transpose=horn))).score
    assert read.written_pitch(70 - 7, 0).name == "B♭4"


def test_a_bar_that_is_not_printed_comes_after_all_others():
    read = read_score(piece(3)).score
    assert [read.place_of(label) for label in ("1", "3", "9")] == [0, 2, 3]
    twice = replace(read, measures=(*read.measures, replace(read.measures[0], index=3)))
    assert twice.place_of("1") == 0


@pytest.mark.parametrize(("seconds", "shown"), [(0, "0:00"), (83.4, "1:23"), (59.99, "0:59"), (-1, "0:00")])
def test_times_are_whole_seconds_gone_by(seconds, shown):
    assert clock(seconds) == shown


@pytest.mark.parametrize(("number", "shown"), [(7.0, "7"), ("10.00", "10"), (0.1, "0.1"), (1200, "1200")])
def test_numbers_without_idle_noughts(number, shown):
    assert plain_number(number) == shown
