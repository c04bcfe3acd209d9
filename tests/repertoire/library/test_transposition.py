import pytest

from repertoire.library.transposition import as_transposed
from repertoire.notation.draw.engraving import engrave
from repertoire.notation.read.reading import read_score
from tests.repertoire.notation import makers


@pytest.mark.parametrize("semitones", [0, -2, -7, -9, -12, -14, 12])
def test_sounds_elsewhere_written_the_same(semitones):
    canonical = read_score(makers.piece(3))
    moved = as_transposed(canonical, semitones)
    assert moved.score.transposition == semitones
    for before, after in zip(canonical.score.notes, moved.score.notes, strict=True):
        assert after.midi == before.midi + semitones
        assert (after.written_step, after.written_octave) == (before.written_step, before.written_octave)
        assert after.note_id == before.note_id
    assert 'id="p1m3n4"' in engrave(moved.musicxml, width_px=600)


def test_what_the_file_gave_before_no_longer_holds():
    clarinet = makers.attributes(transpose="<transpose><chromatic>-2</chromatic></transpose>")
    assert as_transposed(read_score(makers.piece(2, first=clarinet)), 0).score.transposition == 0
