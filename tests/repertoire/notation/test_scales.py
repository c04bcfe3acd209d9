"""Scale sheets: spelling, key, range, slurs, form; scales and key signatures are common theory."""

import pytest

from repertoire.notation.instruments import INSTRUMENTS
from repertoire.notation.order.forms import describe, play
from repertoire.notation.read.reading import CanonicalScore, load_canonical
from repertoire.notation.score import Note
from repertoire.notation.write.scales import NOTE_VALUES_Q, STEPS, ScaleSpec, scale_sheet
from repertoire.wording.words import words
from tests.refusals import refusal

ALTER_SIGNS = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "x"}


def sheet(tonic: str, kind: str = "major", octaves: int = 1, **other) -> CanonicalScore:
    settings = {"arpeggio": False, "note_value": "quarter", "slur": 0, "instrument": INSTRUMENTS["violin"]}
    spec = ScaleSpec(tonic=tonic, kind=kind, octaves=octaves, **{**settings, **other})
    return scale_sheet(spec, title=words)


def spelled(notes: tuple[Note, ...]) -> str:
    return " ".join(f"{n.written_step}{ALTER_SIGNS[n.written_alter]}" for n in notes)


@pytest.mark.parametrize(
    ("tonic", "kind", "names", "fifths"),
    [
        ("C", "major", "C D E F G A B C B A G F E D C", 0),
        ("F#", "major", "F# G# A# B C# D# E# F# E# D# C# B A# G# F#", 6),
        ("Db", "major", "Db Eb F Gb Ab Bb C Db C Bb Ab Gb F Eb Db", -5),
        ("A", "natural_minor", "A B C D E F G A G F E D C B A", 0),
        ("G", "harmonic_minor", "G A Bb C D Eb F# G F# Eb D C Bb A G", -2),
        # Up with raised sixth and seventh, down as the natural minor.
        ("G", "melodic_minor", "G A Bb C D E F# G F Eb D C Bb A G", -2),
        ("C#", "melodic_minor", "C# D# E F# G# A# B# C# B A G# F# E D# C#", 4),
        ("G sharp", "harmonic_minor", "G# A# B C# D# E Fx G# Fx E D# C# B A# G#", 5),
        ("B flat", "natural_minor", "Bb C Db Eb F Gb Ab Bb Ab Gb F Eb Db C Bb", -5),
    ],
)
def test_spelling_and_key(tonic, kind, names, fifths):
    score = sheet(tonic, kind).score
    assert spelled(score.notes) == names
    assert score.measures[0].fifths == fifths
    assert score.measures[0].mode == ("major" if kind == "major" else "minor")


def test_melodic_minor_agrees_with_music21():
    from music21 import pitch, scale

    for tonic in ("A", "E", "B", "F#", "D", "G", "C", "F"):
        notes = sheet(tonic, "melodic_minor").score.notes
        low = pitch.Pitch(notes[0].midi)
        theirs = scale.MelodicMinorScale(tonic)
        up = theirs.getPitches(low, low.transpose(12), direction=scale.Direction.ASCENDING)
        down = theirs.getPitches(low, low.transpose(12), direction=scale.Direction.DESCENDING)
        expected = [p.midi for p in up] + sorted((p.midi for p in down), reverse=True)[1:]
        assert [n.midi for n in notes] == expected


def test_accidentals_are_printed_where_the_key_does_not_give_them():
    musicxml = sheet("G", "melodic_minor", note_value="eighth").musicxml
    assert musicxml.count("<accidental") == 4
    assert musicxml.count('cautionary="yes"') == 2  # F natural and E flat coming down, in the next bar


def test_two_octaves_with_slurs_and_arpeggio():
    canonical = sheet("G", octaves=2, arpeggio=True, note_value="eighth", slur=7)
    score = canonical.score
    assert len(score.notes) == 29 + 13
    assert score.title == "G major, two octaves, with arpeggio"
    assert canonical.musicxml.count('type="start"') == 4 + 2
    assert [n.slurred_to_next for n in score.notes[:8]] == [True] * 6 + [False, True]
    assert spelled(score.notes[29:]) == "G B D G B D G D B G D B G"
    assert "light-light" in canonical.musicxml
    assert load_canonical(canonical.musicxml) == score
    assert describe(play(score)) == f"1-{len(score.measures)}"


@pytest.mark.parametrize("note_value", NOTE_VALUES_Q)
@pytest.mark.parametrize("octaves", [1, 2, 3])
def test_bars_are_full_and_the_last_tonic_is_held(note_value, octaves):
    score = sheet("G", octaves=octaves, arpeggio=True, note_value=note_value).score
    for measure in score.measures:
        assert measure.length_q == measure.beats * 4 / measure.beat_type
    value_q = float(NOTE_VALUES_Q[note_value])
    long = [n for n in score.notes if n.duration_q != value_q]
    assert all(n.written_step == "G" for n in long)
    assert len(long) == 2
    assert len(score.notes) == 14 * octaves + 1 + 6 * octaves + 1


@pytest.mark.parametrize("key", INSTRUMENTS)
def test_every_instrument_gets_scales_in_its_range_and_clef(key):
    instrument = INSTRUMENTS[key]
    every_tonic_fits = instrument.sounding_high - instrument.sounding_low >= 23
    for tonic in ("C", "G", "D", "A", "F", "Bb", "Eb") if every_tonic_fits else ("F", "G"):
        canonical = sheet(tonic, instrument=instrument)
        score = canonical.score
        assert score.transposition == instrument.transposition
        assert instrument.sounding_low <= min(n.midi for n in score.notes)
        assert max(n.midi for n in score.notes) <= instrument.sounding_high
        assert f"<sign>{instrument.clef[0]}</sign><line>{instrument.clef[1]}</line>" in canonical.musicxml


def test_written_key_sounds_through_the_transposition():
    horn = sheet("C", instrument=INSTRUMENTS["horn_f"]).score
    assert (horn.notes[0].written_step, horn.notes[0].written_octave, horn.notes[0].midi) == ("C", 4, 53)
    bass = sheet("F", instrument=INSTRUMENTS["double_bass"]).score
    assert bass.notes[0].midi == 29  # written F2, sounding F1
    saxophone = sheet("C", instrument=INSTRUMENTS["tenor_saxophone"])
    assert "<chromatic>-2</chromatic><octave-change>-1</octave-change>" in saxophone.musicxml


@pytest.mark.parametrize(
    ("changes", "match"),
    [
        ({"tonic": "H"}, "H is not the name of a note"),
        ({"tonic": "G#"}, "G sharp major is not written in practice"),
        ({"tonic": "F", "octaves": 3}, "F major over three octaves does not fit the range of the violin"),
        ({"tonic": "G", "octaves": 5}, "one, two, three or four octaves"),
        ({"tonic": "G", "kind": "dorian"}, "dorian is not known here"),
        ({"tonic": "G", "note_value": "breve"}, "breve is not known here"),
    ],
)
def test_what_cannot_be_written_is_a_sentence(changes, match):
    with refusal(match):
        sheet(**changes)


def test_all_kinds_are_written_for_all_usual_keys():
    for kind in STEPS:
        for tonic in ("C", "G", "D", "A", "E", "B", "F", "Bb", "Eb"):
            assert len(sheet(tonic, kind).score.notes) == 15


@pytest.mark.parametrize(
    ("bpm", "unit_q", "quarters"), [(80, 1.0, "80"), (72.5, 1.5, "108.75"), (60, 2.0, "120"), (96, 0.5, "48")]
)
def test_the_tempo_stands_above_the_first_bar(bpm, unit_q, quarters):
    canonical = sheet("G", octaves=2, arpeggio=True, bpm=bpm, beat_unit_q=unit_q)
    [mark] = canonical.score.tempo_marks
    assert (mark.measure_index, mark.start_q, mark.bpm, mark.beat_unit_q) == (0, 0.0, bpm, unit_q)
    assert f'<sound tempo="{quarters}"' in canonical.musicxml


def test_the_tempo_mark_changes_no_note():
    plain, marked = sheet("G", octaves=2), sheet("G", octaves=2, bpm=80)
    assert not plain.score.tempo_marks
    assert marked.score.notes == plain.score.notes
    assert marked.score.measures == plain.score.measures
