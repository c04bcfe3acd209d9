"""The truth of a demo take: what `perform` decides must follow from the hand alone."""

import numpy as np
import pytest

from fixtures.sounds.playing import RESTART_PAUSE_S, START_S, Bend, Hand, perform
from tests.fixtures_demo.tune import two_bars

EXACT = {"cents_sd": 0.0, "onset_sd_s": 0.0, "wobble": 0.0}


def play(**hand):
    return perform(
        two_bars(), Hand(**{"bpm": 60.0, **EXACT, **hand}), beat_unit_q=1.0, rng=np.random.default_rng(3)
    )


def test_a_steady_hand_puts_every_note_on_its_second():
    played = play()
    assert [note.onset_s for note in played.notes] == pytest.approx([START_S + n for n in range(8)])
    assert [bar.bpm for bar in played.bars] == pytest.approx([60.0, 60.0])


def test_a_bend_moves_only_the_notes_it_names():
    played = play(bends=(Bend(-22.0, ("F#",)),))
    assert [note.cents for note in played.notes] == [0, 0, 0, 0, 0, 0, -22.0, 0]


def test_a_restart_plays_the_bar_again_after_a_pause():
    played = play(runs=((0, 0), (0, 1)))
    assert [note.position for note in played.notes] == [0] * 8 + [1] * 4
    assert played.restarts == ((0, pytest.approx(START_S + 4.0 + RESTART_PAUSE_S)),)


def test_an_early_stop_leaves_the_rest_unplayed():
    played = play(last_beats=2.0)
    assert [note.index for note in played.notes] == [0, 1, 2, 3, 4, 5]


def test_a_hesitation_moves_everything_after_it():
    played = play(pauses=((1, 0.0, 0.5),))
    assert [note.onset_s - START_S for note in played.notes][3:5] == pytest.approx([3.0, 4.5])


def test_a_ramp_quickens_the_later_bar():
    played = play(ramp=((0, 1.0), (1, 1.25)))
    assert [bar.bpm for bar in played.bars] == pytest.approx([60.0, 75.0])


def test_wrong_and_missed_notes_are_known_as_such():
    played = play(wrong=((0, 1, 1),), missed=((1, 0),))
    assert [(note.midi, note.status) for note in played.notes[:2]] == [(67, "played"), (70, "wrong_pitch")]
    assert played.missed == (4,)


def test_the_same_seed_gives_the_same_take():
    first = play(cents_sd=5.0, onset_sd_s=0.01)
    assert first == play(cents_sd=5.0, onset_sd_s=0.01)
