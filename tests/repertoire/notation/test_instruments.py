"""The instruments against tables others published.

Ranges: the open table `midiranges.py` of the public repository ledm/earthsystemmusic2 (sounding MIDI numbers)
and the study guide "Instrumental ranges, transposing instruments" at library.fiveable.me (marked FG).
Transpositions: the instrument appendix at studystack.com/flashcard-697185, in its own words.
Open strings: owiki.org/wiki/Standard_Tuning and britannica.com (EBchecked/topic/569200).
Not in these tables, from memory: clarinets in A and E flat, bass trombone's lowest notes, euphonium, cornet,
trumpet in C, timpani's upper end and the voices; the clefs; and the saxophones' key.
"""

import pytest

from repertoire.notation.instruments import INSTRUMENTS, midi_of, read_instruments

PUBLISHED_RANGES = {  # lowest, highest as they sound
    "violin": (55, 105),  # FG: G3 to A7; the table ends at 103
    "viola": (48, 91),
    "cello": (36, 81),  # FG: C2 to A5; the table ends at 76
    "double_bass": (28, 67),
    "guitar": (40, 88),
    "harp": (24, 103),
    "tuba": (28, 65),  # the table ends at 58; the upper fourth from memory
    "horn_f": (34, 77),
    "trombone": (40, 72),
    "bass_trombone": (34, 67),
    "trumpet_b_flat": (52, 84),  # FG: E3 to C6
    "piccolo": (74, 108),  # the table ends at 102; the upper fourth from memory
    "flute": (60, 96),
    "alto_flute": (55, 91),
    "oboe": (58, 91),
    "cor_anglais": (52, 81),
    "clarinet_b_flat": (50, 94),
    "bass_clarinet": (37, 77),  # the table begins at 38, the written E flat key adds one
    "bassoon": (34, 75),
    "contrabassoon": (22, 53),
    "soprano_recorder": (72, 98),
    "alto_recorder": (65, 91),
    "baritone_saxophone": (36, 69),
    "tenor_saxophone": (44, 76),
    "alto_saxophone": (49, 81),
    "soprano_saxophone": (56, 88),
    "glockenspiel": (79, 108),
    "xylophone": (65, 108),
    "vibraphone": (53, 89),
    "marimba": (45, 96),
    "timpani": (40, 55),
}
# Where a student is not asked for the table's lowest notes.
HIGHER_FLOOR = {"horn_f"}

PUBLISHED_TRANSPOSITIONS = {
    "piccolo": "octave higher",
    "flute": "as written",
    "oboe": "as written",
    "cor_anglais": "P5 lower",
    "clarinet_b_flat": "M2 lower",
    "clarinet_a": "m3 lower",
    "bass_clarinet": "M9 lower",
    "bassoon": "as written",
    "contrabassoon": "octave lower",
    "alto_saxophone": "M6 lower",
    "tenor_saxophone": "M9 lower",
    "baritone_saxophone": "octave + M6 lower",
    "horn_f": "P5 lower",
    "trumpet_b_flat": "M2 lower",
    "trombone": "as written",
    "euphonium": "as written",
    "euphonium_treble": "M9 lower",
    "tuba": "as written",
    "xylophone": "octave higher",
    "marimba": "as written",
    "glockenspiel": "two octaves higher",
    "vibraphone": "as written",
    "violin": "as written",
    "viola": "as written",
    "cello": "as written",
    "double_bass": "octave lower",
    "harp": "as written",
    "guitar": "octave lower",
}
SEMITONES = {"M2": 2, "m3": 3, "P5": 7, "M6": 9, "M9": 14, "octave": 12, "two octaves": 24, "octave + M6": 21}

OPEN_STRINGS = {
    "violin": ["G3", "D4", "A4", "E5"],
    "viola": ["C3", "G3", "D4", "A4"],
    "cello": ["C2", "G2", "D3", "A3"],
    "double_bass": ["E1", "A1", "D2", "G2"],
    "guitar": ["E2", "A2", "D3", "G3", "B3", "E4"],
}
# Rows of databases written before the data file name these.
KEPT_KEYS = [
    "violin",
    "viola",
    "cello",
    "double_bass",
    "flute",
    "piccolo",
    "oboe",
    "cor_anglais",
    "clarinet_b_flat",
    "clarinet_a",
    "bassoon",
    "alto_saxophone",
    "tenor_saxophone",
    "trumpet_b_flat",
    "horn_f",
    "trombone",
    "euphonium",
    "tuba",
    "guitar",
    "piano",
    "other",
]


@pytest.mark.parametrize("key", PUBLISHED_RANGES)
def test_range_lies_in_the_published_one(key):
    low, high = PUBLISHED_RANGES[key]
    instrument = INSTRUMENTS[key]
    if key in HIGHER_FLOOR:
        assert instrument.sounding_low > low
    else:
        assert instrument.sounding_low == low
    assert instrument.sounding_high <= high


@pytest.mark.parametrize("key", PUBLISHED_TRANSPOSITIONS)
def test_transposition_is_the_published_one(key):
    words = PUBLISHED_TRANSPOSITIONS[key]
    interval, _, direction = words.rpartition(" ")
    expected = {"higher": 1, "lower": -1, "written": 0}[direction] * SEMITONES.get(interval, 0)
    assert INSTRUMENTS[key].transposition == expected


@pytest.mark.parametrize("key", OPEN_STRINGS)
def test_open_strings_are_the_published_ones(key):
    instrument = INSTRUMENTS[key]
    assert instrument.strings == tuple(midi_of(name) for name in OPEN_STRINGS[key])
    assert instrument.sounding_low == instrument.strings[0]


def test_earlier_keys_stay_valid():
    assert set(KEPT_KEYS) <= set(INSTRUMENTS)
    assert INSTRUMENTS["violin"].clef == "G2"
    assert INSTRUMENTS["viola"].clefs == ("C3", "G2")


def test_intonation_is_not_judged_where_the_player_does_not_make_the_pitch():
    judged = {key for key, instrument in INSTRUMENTS.items() if not instrument.intonation_judged}
    assert judged == {"piano", "guitar", "harp", "glockenspiel", "xylophone", "vibraphone", "marimba"}


def test_bowed_strings_are_measured_against_pythagorean_tuning_unless_asked_otherwise():
    pythagorean = {key for key, each in INSTRUMENTS.items() if each.temperament == "pythagorean"}
    assert pythagorean == {"violin", "viola", "cello", "double_bass"}


GOOD = 'name = "Lute"\nfamily = "strings"\nclefs = ["G2"]\n'


@pytest.mark.parametrize(
    ("rows", "match"),
    [
        (GOOD + 'sounding = ["H3", "E7"]', "instrument lute: H3 is not a pitch"),
        (GOOD + 'sounding = ["E7", "C3"]', "instrument lute: the range goes down"),
        (GOOD + 'sounding = ["C3", "E7"]\nstring = ["C3"]', "instrument lute: string is not known"),
        (GOOD + 'sounding = ["C3", "E7"]\ntemperament = "odd"', "the temperament is one of equal, just"),
        (GOOD, "instrument lute: 'sounding'"),
    ],
)
def test_a_slip_in_the_data_file_is_named(rows, match):
    with pytest.raises(ValueError, match=match):
        read_instruments(f"[lute]\n{rows}")
