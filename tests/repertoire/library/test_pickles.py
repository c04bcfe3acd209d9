"""music21 keeps pickles of what it reads from a path, where others may plant their own: not here."""

from pathlib import Path

import pytest

from repertoire.library.order_check import order_question
from repertoire.notation.bounded import Ending, ProcessLimits, run
from repertoire.notation.read.reading import read_score, read_score_in_child
from tests.repertoire.notation import makers
from tests.repertoire.notation.foreign_makers import ABC, AT_100, D_MAJOR, KERN, THREE_FOUR, midi, played

REPEATED = makers.piece(4, {2: ("", makers.repeat_end())})
MIDI = midi([(0, THREE_FOUR), (0, AT_100), (0, D_MAJOR)], played([62, 64, 66]))


@pytest.fixture
def pickles(tmp_path, monkeypatch):
    """Asks for the pickles below a temporary folder that only this test's processes have."""
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    return lambda: list(tmp_path.rglob("*.p*"))


def test_a_path_would_leave_one(pickles, tmp_path):
    path = Path(tmp_path, "score.musicxml")
    path.write_bytes(REPEATED)
    limits = ProcessLimits(time_s=120.0, memory_mb=1500)
    ended = run("tests.repertoire.notation.bounded_work", "music21_from_path", str(path), limits=limits)
    assert ended.how is Ending.FINISHED
    assert pickles()


def test_the_cross_check_leaves_none(pickles):
    assert order_question(read_score(REPEATED)) is None
    assert not pickles()


@pytest.mark.parametrize("data", [ABC, KERN, MIDI], ids=["abc", "kern", "midi"])
def test_other_formats_leave_none(pickles, data):
    assert read_score_in_child(data, choice="1").score.notes
    assert not pickles()
