"""The keynote, as the file says or as the notes tell it."""

from dataclasses import replace

import pytest

from repertoire.notation.instruments import INSTRUMENTS
from repertoire.notation.keynote import keynote
from repertoire.notation.score import Score
from repertoire.notation.write.scales import ScaleSpec, scale_sheet
from repertoire.wording.words import words


def without_mode(tonic: str, kind: str) -> Score:
    spec = ScaleSpec(
        tonic=tonic, kind=kind, octaves=2, arpeggio=True, note_value="quarter", slur=0,
        instrument=INSTRUMENTS["violin"],
    )  # fmt: skip
    printed = scale_sheet(spec, title=words).score
    return replace(printed, measures=tuple(replace(m, mode="") for m in printed.measures))


@pytest.mark.parametrize(
    ("tonic", "kind", "place"),
    [("C", "major", 0), ("A", "harmonic_minor", 3), ("D", "major", 2), ("B", "harmonic_minor", 5),
     ("E flat", "major", -3), ("C", "harmonic_minor", 0), ("F sharp", "melodic_minor", 6),
     ("B flat", "major", -2), ("G", "natural_minor", 1), ("C sharp", "harmonic_minor", 7)],
)  # fmt: skip
def test_major_or_minor_is_read_from_the_notes(tonic, kind, place):
    assert keynote(without_mode(tonic, kind)) == place


def test_a_piece_written_without_a_signature_is_read_from_its_accidentals():
    printed = without_mode("B flat", "major")
    plain = replace(printed, measures=tuple(replace(m, fifths=0) for m in printed.measures))
    assert keynote(plain) == -2


def test_what_the_file_says_is_believed():
    printed = without_mode("C", "major")
    said = replace(printed, measures=tuple(replace(m, mode="minor") for m in printed.measures))
    assert keynote(said) == 3


def test_a_score_without_bars_has_none():
    assert keynote(replace(without_mode("C", "major"), measures=(), notes=())) is None


def test_few_notes_tell_nothing_and_the_signature_is_read_as_major():
    printed = without_mode("A", "harmonic_minor")
    assert keynote(replace(printed, notes=printed.notes[:5])) == 0
