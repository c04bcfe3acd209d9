"""Takes nobody should send: a plain sentence or a valid document, never marks for another piece.

One of each kind here; `python -m tests.accuracy.hostile` runs ten of each.
"""

import pytest

from tests.accuracy.hostile import pieces, running
from tests.accuracy.hostile.kinds import KINDS, OTHER, PIECE, REFUSED

pytestmark = pytest.mark.slow

IN_A_CHILD = ("garbage", "truncated m4a", "another piece")
NEEDS_VOICE = pytest.mark.skipif(not pieces.can_speak(), reason="espeak-ng is not installed")
EACH = [pytest.param(name, marks=NEEDS_VOICE if name == "speech" else ()) for name in KINDS]


@pytest.mark.parametrize("name", EACH)
def test_a_hostile_take_gets_a_plain_verdict(name):
    verdict = running.run(KINDS[name], seed=1)
    assert verdict.troubles == ()
    if KINDS[name].expected != "any":
        assert verdict.wording in {OTHER: (OTHER, REFUSED)}.get(KINDS[name].expected, (KINDS[name].expected,))


@pytest.mark.parametrize("name", IN_A_CHILD)
def test_the_bounded_child_says_the_same(name):
    here, there = running.run(KINDS[name], seed=2), running.run(KINDS[name], seed=2, child=True)
    assert there.troubles == ()
    assert (there.wording, there.sentence) == (here.wording, here.sentence)


def test_another_piece_is_said_to_be_another_piece():
    verdict = running.run(KINDS["another piece"], seed=3)
    assert "not recognised" in verdict.sentence


def test_the_piece_itself_is_known_when_its_sound_is_upside_down():
    assert running.run(KINDS["one channel inverted"], seed=4).wording == PIECE
