"""How the page counts a player in."""

from types import SimpleNamespace

import pytest

from recordings.takes.recorder import CountIn, count_in
from repertoire.notation.score import Measure


def asked(beats: int, beat_type: int, *, bpm: float, unit_q: float = 1.0, first_q: float | None = None):
    """A requirement whose first bar has this metre; `first_q` is the length of an upbeat."""
    length_q = first_q if first_q is not None else 4.0 * beats / beat_type
    measure = Measure("m0", 0, "1", length_q, beats, beat_type, 0, "")
    excerpt = SimpleNamespace(score=SimpleNamespace(measures=(measure,)))
    return SimpleNamespace(excerpt=excerpt, order=(0,), beat_unit_q=unit_q, marked_bpm=bpm)


@pytest.mark.parametrize(
    ("requirement", "counted"),
    [
        (asked(4, 4, bpm=96), CountIn(96, 4, 4, 4)),
        (asked(3, 4, bpm=120), CountIn(120, 3, 3, 3)),
        (asked(2, 4, bpm=72), CountIn(72, 2, 4, 4)),
        (asked(6, 8, bpm=60, unit_q=1.5), CountIn(60, 2, 4, 4)),
        (asked(6, 8, bpm=120, unit_q=0.5), CountIn(120, 6, 6, 6)),
        (asked(4, 4, bpm=60, unit_q=2.0), CountIn(60, 2, 4, 4)),
        # the mark's unit does not divide the bar: the metre's beat is counted, as fast as the mark asks
        (asked(4, 4, bpm=60, unit_q=1.5), CountIn(90, 4, 4, 4)),
        # an upbeat of one beat comes after a bar and three beats, one of an eighth after a bar and 3.5
        (asked(4, 4, bpm=96, first_q=1.0), CountIn(96, 4, 7, 7)),
        (asked(4, 4, bpm=96, first_q=0.5), CountIn(96, 4, 8, 7.5)),
    ],
)
def test_a_bar_is_counted_and_what_comes_before_an_upbeat(requirement, counted):
    assert count_in(requirement) == counted


def test_of_a_stored_requirement(requirement):
    assert count_in(requirement) == CountIn(96, 4, 4, 4)
