"""Every kind of sheet: spelled as published tables spell it, in range, in its rhythm, engraved.

`pytest -s -k sixty` prints the table of sixty sheets.
"""

from collections.abc import Iterator
from fractions import Fraction

import pytest

from repertoire.notation.draw.engraving import engrave
from repertoire.notation.instruments import INSTRUMENTS
from repertoire.notation.read.reading import CanonicalScore, load_canonical
from repertoire.notation.score import Note
from repertoire.notation.write.scale_kinds import KINDS, PATTERNS
from repertoire.notation.write.scales import NOTE_VALUES_Q, RHYTHMS, ScaleSpec, scale_sheet
from repertoire.wording.words import words
from tests.refusals import refusal
from tests.repertoire.notation.drawing import measured
from tests.repertoire.notation.scale_tables import MAJOR, NATURAL_MINOR, up_and_down

SIGNS = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}
TEN = (
    *("violin", "viola", "cello", "double_bass", "flute"),
    *("clarinet_b_flat", "alto_saxophone", "horn_f", "trumpet_b_flat", "marimba"),
)
SIX = (
    *(("G", "major"), ("Ab", "major"), ("E", "natural_minor")),
    *(("G#", "harmonic_minor"), ("C", "melodic_minor"), ("F#", "melodic_minor")),
)


def sheet(tonic: str, kind: str, octaves: int = 1, instrument: str = "violin", **other) -> CanonicalScore:
    settings = {"arpeggio": False, "note_value": "quarter", "slur": 0, **other}
    spec = ScaleSpec(tonic=tonic, kind=kind, octaves=octaves, instrument=INSTRUMENTS[instrument], **settings)
    return scale_sheet(spec, title=words)


def names(notes: tuple[Note, ...]) -> list[str]:
    return [f"{note.written_step}{SIGNS[note.written_alter]}" for note in notes]


def published() -> Iterator[tuple[str, str]]:
    yield from ((tonic, "major") for tonic in MAJOR)
    for kind in ("natural_minor", "harmonic_minor", "melodic_minor"):
        yield from ((tonic, kind) for tonic in NATURAL_MINOR)


@pytest.mark.parametrize(("tonic", "kind"), [*published()])
def test_all_published_spellings(tonic, kind):
    assert names(sheet(tonic, kind).score.notes) == up_and_down(tonic, kind)


@pytest.mark.slow
def test_sixty_sheets_on_ten_instruments_spelled_as_published_in_range_and_engraved():
    print()
    for key in TEN:
        instrument = INSTRUMENTS[key]
        for tonic, kind in SIX:
            canonical = sheet(tonic, kind, 1, key, arpeggio=True, note_value="eighth", bpm=80)
            notes = canonical.score.notes
            assert names(notes[:15]) == up_and_down(tonic, kind)
            low, high = min(n.midi for n in notes), max(n.midi for n in notes)
            assert instrument.sounding_low <= low
            assert high <= instrument.sounding_high
            assert canonical.score.transposition == instrument.transposition
            drawn = measured(engrave(canonical.musicxml, width_px=900))
            assert {n.note_id for n in notes} <= set(drawn.note_boxes)
            print(f"{instrument.name:20} {canonical.score.title:48} {low}-{high}, {len(notes)} notes")


@pytest.mark.parametrize(
    "tonic", ["A", "E", "B", "F#", "C#", "G#", "D#", "A#", "D", "G", "C", "F", "Bb", "Eb", "Ab"]
)
@pytest.mark.parametrize("kind", ["natural_minor", "harmonic_minor", "melodic_minor"])
def test_minors_are_spelled_as_music21_spells_them(tonic, kind):
    from music21 import scale

    theirs = {
        "natural_minor": scale.MinorScale,
        "harmonic_minor": scale.HarmonicMinorScale,
        "melodic_minor": scale.MelodicMinorScale,
    }[kind](tonic.replace("b", "-"))
    low = theirs.tonic.transpose(0)
    low.octave = 4
    up = theirs.getPitches(low, low.transpose("P8"), direction=scale.Direction.ASCENDING)
    expected = [pitch.name.replace("-", "b") for pitch in up]
    assert names(sheet(tonic, kind).score.notes)[:8] == expected


@pytest.mark.parametrize(
    ("tonic", "kind", "expected"),
    [
        ("C", "chromatic", "C C# D D# E F F# G G# A A# B C B Bb A Ab G Gb F E Eb D Db C"),
        ("Bb", "chromatic", "Bb B C C# D D# E F F# G G# A Bb A Ab G Gb F E Eb D Db C B Bb"),
        ("G", "whole_tone", "G A B C# D# F G F Eb Db B A G"),
        ("A", "major_arpeggio", "A C# E A E C# A"),
        ("C", "minor_arpeggio", "C Eb G C G Eb C"),
        ("G", "dominant_seventh", "G B D F G F D B G"),
        ("B", "diminished_seventh", "B D F Ab B Ab F D B"),
        ("C", "diminished_seventh", "C Eb Gb Bbb C Bbb Gb Eb C"),
    ],
)
def test_other_kinds_follow_the_stated_convention(tonic, kind, expected):
    assert names(sheet(tonic, kind).score.notes) == expected.split()


@pytest.mark.parametrize(
    ("kind", "pattern", "expected"),
    [
        ("major", "thirds", "G B A C B D C E D F# E G F# D E C D B C A B G"),
        ("major", "broken", "G A B C A B C D B C D E C D E F# D E F# G F# E D C E D C B D C B A C B A G"),
        ("major_arpeggio", "broken", "G B D B D G D B G"),
        ("dominant_seventh", "broken", "G B D F B D F G F D B G"),
    ],
)
def test_thirds_and_broken_orders(kind, pattern, expected):
    assert names(sheet("G", kind, pattern=pattern).score.notes) == expected.split()


@pytest.mark.parametrize("kind", ["major", "chromatic", "dominant_seventh"])
@pytest.mark.parametrize("note_value", NOTE_VALUES_Q)
@pytest.mark.parametrize("rhythm", RHYTHMS)
def test_bars_are_full_and_notes_last_as_the_rhythm_says(kind, note_value, rhythm):
    if note_value == "triplet_eighth" and rhythm != "even":
        with refusal("Triplets are written in an even rhythm"):
            sheet("G", kind, note_value=note_value, rhythm=rhythm)
        return
    canonical = sheet("G", kind, 2, arpeggio=True, note_value=note_value, rhythm=rhythm)
    score = canonical.score
    assert all(m.length_q == pytest.approx(m.beats * 4 / m.beat_type) for m in score.measures)
    count = 2 * 2 * len(KINDS[kind].up) + 1
    value = NOTE_VALUES_Q[note_value]
    expected = [value * RHYTHMS[rhythm][k % len(RHYTHMS[rhythm])] for k in range(count)]
    if rhythm == "first_long":
        expected[0] = 2 * value
    detected = [note.duration_q for note in score.notes[: count - 1]]
    assert detected == pytest.approx([float(length) for length in expected[:-1]])
    assert load_canonical(canonical.musicxml) == score


@pytest.mark.parametrize(
    ("slur", "expected"),
    [
        (0, "0" * 15),
        (2, "101010101010100"),
        (3, "110110110110110"),
        ("octave", "111111011111100"),
        ("two_two", "100010001000100"),
    ],
)
def test_slur_patterns(slur, expected):
    notes = sheet("G", "major", slur=slur).score.notes
    assert "".join(str(int(note.slurred_to_next)) for note in notes) == expected


def test_separate_notes_carry_no_slur_at_all():
    assert "<slur" not in sheet("G", "major", slur=0).musicxml


def test_triplets_are_bracketed_by_beats_and_tied_where_held():
    musicxml = sheet("G", "major", note_value="triplet_eighth").musicxml
    assert musicxml.count('<tuplet type="start"') == musicxml.count('<tuplet type="stop"') == 5
    assert "<actual-notes>3</actual-notes><normal-notes>2</normal-notes>" in musicxml


def test_a_held_note_never_leaves_its_triplets_beat():
    canonical = sheet("G", "major", 2, note_value="triplet_eighth")
    assert canonical.musicxml.count('<tuplet type="start"') == canonical.musicxml.count('<tuplet type="stop"')
    assert canonical.score.notes[-1].duration_q == pytest.approx(8 / 3)
    assert "<tied" in canonical.musicxml


def test_start_octave_and_as_many_octaves_as_fit():
    lowest = sheet("G", "major", 1).score.notes[0]
    assert (lowest.written_octave, sheet("G", "major", 1, raised=1).score.notes[0].written_octave) == (3, 4)
    assert sheet("G", "major", 0).score.title == "G major, three octaves"
    assert sheet("A", "major", 0, "tuba").score.title == "A major, two octaves"
    with refusal("cannot begin that high on the tuba"):
        sheet("A", "major", 1, "tuba", raised=2)


@pytest.mark.parametrize(
    ("changes", "match"),
    [
        ({"kind": "chromatic", "pattern": "thirds"}, "Only major and minor scales are written in thirds"),
        ({"kind": "major", "pattern": "odd"}, "odd is not known here"),
        ({"kind": "major", "slur": "some"}, "some is not known here"),
        ({"kind": "diminished_seventh", "tonic": "Cb"}, "not written in practice"),
    ],
)
def test_what_cannot_be_written_is_a_sentence(changes, match):
    with refusal(match):
        sheet(**{"tonic": "G", **changes})


@pytest.mark.parametrize("pattern", PATTERNS)
def test_patterns_stay_between_the_tonics(pattern):
    notes = sheet("G", "major", 2, pattern=pattern).score.notes
    assert (min(n.midi for n in notes), max(n.midi for n in notes)) == (55, 79)
    assert names(notes)[0] == names(notes)[-1] == "G"
    assert [n.midi for n in notes].count(79) == 1


def test_dotted_pairs_are_beamed_with_a_hook():
    musicxml = sheet("G", "major", note_value="eighth", rhythm="dotted").musicxml
    assert '<beam number="2">backward hook</beam>' in musicxml
    assert Fraction(3, 2) in RHYTHMS["dotted"]
