"""Sight-reading exercises played by sampled instruments: at least 97 % of their notes are told as played.

`python -m tests.accuracy.sight` plays a hundred on ten instruments and tells times too.
"""

import pytest

from tests.accuracy.bench import synth
from tests.accuracy.sight.sounded import exercise_of, played_and_told

pytestmark = pytest.mark.slow


@pytest.mark.skipif(synth.missing() is not None, reason=str(synth.missing()))
def test_exercises_that_are_played_are_followed_note_by_note():
    notes = told = 0
    for instrument, level, seed in (("violin", 2, 3), ("clarinet_b_flat", 4, 5), ("flute", 5, 8)):
        found = played_and_told(instrument, exercise_of(instrument, level, seed), seed=seed)
        notes += len(found)
        told += sum(one["status"] == "played" for _note, one in found)
    assert notes > 100
    assert told / notes >= 0.97
