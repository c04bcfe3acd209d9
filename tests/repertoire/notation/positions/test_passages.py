"""The plan of known music moves the hand less than reading note by note."""

import pytest

from repertoire.notation.positions.boards import FINGERBOARDS
from repertoire.notation.positions.plan import lowest_first, plan

from .passages import PASSAGES


@pytest.mark.parametrize("title", PASSAGES)
def test_no_more_shifts_than_note_by_note(title):
    instrument, bpm, canonical = PASSAGES[title]
    board = FINGERBOARDS[instrument]
    planned = plan(canonical.score, board=board, quarter_bpm=bpm)
    naive = lowest_first(canonical.score, board=board, quarter_bpm=bpm)
    assert not planned.remarks
    assert len(planned.notes) == len(canonical.score.notes)
    assert planned.shifts <= naive.shifts
    assert planned.cost <= naive.cost


def test_the_tune_of_the_basses_needs_no_shift():
    instrument, bpm, canonical = PASSAGES["L. van Beethoven, Symphony 9, finale, the basses' tune, bars 1-8"]
    assert plan(canonical.score, board=FINGERBOARDS[instrument], quarter_bpm=bpm).shifts == 0
