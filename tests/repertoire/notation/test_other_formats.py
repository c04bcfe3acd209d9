"""MIDI, ABC and kern become the same canonical music as MusicXML, by content and within limits."""

import struct
import zipfile

import pytest

from repertoire.notation.order.forms import describe, play
from repertoire.notation.read.parts import SeveralParts
from repertoire.notation.read.reading import read_score, read_score_in_child
from repertoire.notation.score import Score
from repertoire.wording.words import words
from tests.refusals import refusal

from .foreign_makers import (
    ABC,
    AT_100,
    D_MAJOR,
    FOUR_FOUR,
    KERN,
    THREE_FOUR,
    midi,
    named,
    played,
    track,
)

pytestmark = pytest.mark.slow

SCALE = [62, 64, 66, 67, 69, 71, 73, 74]


def detected(score: Score) -> list[tuple[str, float, int]]:
    return [(score.measures[n.measure_index].number, n.start_q, n.midi) for n in score.notes]


def refused(data: bytes, match: str) -> None:
    with refusal(match):
        read_score_in_child(data, ask=True)


@pytest.mark.parametrize("mark", [b"[V:%d] ", b"V:%d\n"])
def test_abc_voices_written_line_by_line_are_two_parts_with_their_names(mark):
    """music21 alone makes one part of them, the second voice played after the first."""
    head = b'X:1\nT:Two\nM:4/4\nL:1/4\nK:C\nV:1 name="Violin"\nV:2 name="Cello" clef=bass\n'
    first, second = mark % 1, mark % 2
    tune = first + b"CDEF|GABc|\n" + second + b"C,4|G,4|\n" + first + b"cBAG|]\n" + second + b"C,4|]\n"
    with pytest.raises(SeveralParts) as several:
        read_score(head + tune, ask=True)
    assert [(each.name, each.bars, each.notes) for each in several.value.choices] == [
        ("Violin", 3, 12),
        ("Cello", 3, 3),
    ]


def test_abc_with_endings_and_a_triplet():
    read = read_score_in_child(ABC, filename="tune.mid", ask=True)
    score = read.score
    assert (score.title, score.composer) == ("Candle Tune", "Nobody Real")
    assert describe(play(score)) == "1-2, 1, 3"
    assert score.measures[0].fifths == 2
    assert [n.midi for n in score.notes] == [62, 64, 66, 67, 69, 69, 71, 73, 74, 69]
    assert score.notes[5].duration_q == pytest.approx(1 / 3)
    assert score.notes[0].note_id == "p1m1n1"
    assert score.tempo_marks[0].bpm == 100
    assert read.remarks == ()


def test_same_bytes_give_the_same_text():
    assert read_score(ABC).musicxml == read_score(ABC).musicxml
    kern = [read_score(KERN, choice="2").musicxml for _ in range(2)]
    assert kern[0] == kern[1]


def test_kern_names_its_parts_and_reads_the_chosen_one():
    with pytest.raises(SeveralParts) as several:
        read_score_in_child(KERN, ask=True)
    assert [(c.key, c.name, c.bars, c.notes) for c in several.value.choices] == [
        ("1", "Violin", 2, 4),
        ("2", "Cello", 2, 4),
    ]
    score = read_score_in_child(KERN, choice="2", ask=True).score
    assert (score.title, score.part_name) == ("Two Candles", "Cello")
    assert detected(score) == [("1", 0, 48), ("1", 1, 50), ("1", 2, 52), ("2", 0, 48)]


def test_midi_gets_bars_key_tempo_and_its_caution():
    read = read_score_in_child(midi([(0, THREE_FOUR), (0, AT_100), (0, D_MAJOR)], played(SCALE)), ask=True)
    score = read.score
    assert [(b.beats, b.beat_type, b.fifths) for b in score.measures] == [(3, 4, 2)] * 3
    assert detected(score) == [(str(k // 3 + 1), k % 3, pitch) for k, pitch in enumerate(SCALE)]
    assert score.tempo_marks[0].bpm == pytest.approx(100, abs=0.1)
    assert [f"{n.written_step}{n.written_alter}" for n in score.notes[2:7:4]] == ["F1", "C1"]
    assert len(read.remarks) == 1
    assert "no slurs, dynamics" in words(read.remarks[0])


def test_midi_played_by_hand_is_rounded():
    score = read_score(midi([(0, FOUR_FOUR)], played(SCALE, late=35))).score
    assert detected(score) == [(str(k // 4 + 1), k % 4, pitch) for k, pitch in enumerate(SCALE)]


def test_midi_written_in_thirty_seconds_keeps_them():
    score = read_score(midi([(0, FOUR_FOUR)], played(SCALE * 4, length=60))).score
    assert [n.start_q for n in score.notes] == [k / 8 for k in range(32)]


def test_midi_without_key_or_metre_says_what_was_guessed():
    flats = [63, 65, 67, 68, 70, 72, 74, 75]
    read = read_score(midi(played(flats), kind=0))
    assert read.score.measures[0].fifths == -3
    assert {n.written_alter for n in read.score.notes} == {0, -1}
    assert " ".join(words(remark) for remark in read.remarks).count("The file names no") == 2


@pytest.mark.parametrize("kind", [0, 1])
def test_midi_channels_are_parts_and_percussion_is_none(kind):
    drums = played([36, 38, 36, 38], channel=9)
    two = [named("Flute"), *played(SCALE)], [(0, b"\xc1\x2a"), *played([50, 52, 54], channel=1)]
    data = midi(*two, drums) if kind else midi([*two[0], *two[1], *drums], kind=0)
    with pytest.raises(SeveralParts) as several:
        read_score_in_child(data, ask=True)
    assert [c.notes for c in several.value.choices] == [8, 3]
    assert "Violoncello" in several.value.choices[1].name or kind == 0
    refused(midi(drums), "only percussion")


@pytest.mark.parametrize(
    ("data", "match"),
    [
        (b"MThd", "breaks off or is damaged"),
        (midi(played(SCALE))[:-20], "breaks off or is damaged"),
        (b"MThd" + struct.pack(">IHHH", 6, 2, 1, 480) + track(played(SCALE)), "does not count in beats"),
        (b"MThd" + struct.pack(">IHHH", 6, 1, 1, 0xE728) + track(played(SCALE)), "does not count in beats"),
        (b"MThd" + struct.pack(">IHHH", 6, 1, 1, 480) + track([(0, b"\x3c\x40")]), "Track 1"),
        (midi([(2**27, b"\x90\x3c\x50"), (480, b"\x80\x3c\x00")]), "longer than 2000 bars"),
        (midi([(0, FOUR_FOUR)]), "no notes with a pitch"),
        (ABC + b"X:2\nK:C\nCDEF|\n", "holds 2 tunes"),
        (ABC.replace(b"DEFG", b"DE?G"), r"Bar 1 \(line 8\): “\?”"),
        (ABC.replace(b"d:|", b"d & A2:|"), "Bar 2: two layers"),
        (ABC.replace(b"DEFG", b"DE[V:2]FG"), "Line 8 changes to another voice"),
        (b"X:1\nM:4/4\nK:C\n", "no notes|could not be understood"),
        (KERN[: KERN.index(b"=2")], "breaks off after bar 1"),
        (KERN.replace(b"**kern", b"**dynam"), r"no \*\*kern"),
        (b"**kern\n*M4/4\n=1\n4zz\n==\n*-\n", "could not be understood|no notes"),
    ],
)
def test_broken_files_get_a_sentence(data, match):
    refused(data, match)


def test_bars_that_do_not_add_up_are_named():
    read = read_score(b"X:1\nM:4/4\nL:1/4\nK:C\nCDEF|CDE|CDEF|CDEF|\n")
    assert any("time signature: 2" in words(remark) for remark in read.remarks)


def test_nothing_is_fetched_or_opened(tmp_path):
    """A text that looks like a path or an address stays a text."""
    planted = tmp_path / "planted.abc"
    planted.write_bytes(ABC)
    refused(str(planted).encode(), "not a MusicXML")
    refused(b"https://example.org/tune.abc", "not a MusicXML")


def test_names_do_not_decide(tmp_path):
    inside = tmp_path / "x.mxl"
    with zipfile.ZipFile(inside, "w") as archive:
        archive.writestr("tune.abc", ABC)
    refused(inside.read_bytes(), "holds no score")
