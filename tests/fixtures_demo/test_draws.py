"""Takes drawn by lot: the same number is the same take, and their truth is sound."""

import numpy as np
import pytest

from fixtures.sounds.draws import FLAWS, drawn
from fixtures.sounds.playing import perform
from fixtures.sounds.synth import VOICES
from fixtures.sounds.truth import printed
from tests.accuracy.demo.__main__ import DRAWN


def played(number):
    take = drawn(number)
    music = printed(take)
    return take, music.form, perform(
        music.form, take.hand, beat_unit_q=music.beat_unit_q, rng=np.random.default_rng(1)
    )  # fmt: skip


def test_the_same_number_is_the_same_take():
    assert drawn(20) == drawn(20)
    assert drawn(20) != drawn(68)


def test_the_lot_goes_once_round_every_flaw_on_every_instrument():
    assert len(FLAWS) * len(VOICES) == DRAWN


@pytest.mark.parametrize("number", [18, 20, 66])
def test_two_wrong_notes_sound_and_none_hides_on_a_neighbours_pitch(number):
    take, form, detected = played(number)
    wrong = [note for note in detected.notes if note.status == "wrong_pitch"]
    assert len(wrong) == 2
    assert {form.score.measures[form.notes[n.index].note.measure_index].number for n in wrong} == set(
        take.where
    )
    for note in wrong:
        beside = (form.notes[note.index - 1].note.midi, form.notes[note.index + 1].note.midi)
        assert note.midi not in beside


@pytest.mark.parametrize("number", [42, 44, 46])
def test_an_omitted_repeat_leaves_its_bars_played_once(number):
    take, form, detected = played(number)
    bars = [form.score.measures[form.bars[bar.position].measure_index].number for bar in detected.bars]
    assert all(bars.count(bar) == 1 for bar in take.where)


@pytest.mark.parametrize("number", [6, 8])
def test_an_early_stop_ends_in_its_bar(number):
    take, form, detected = played(number)
    last = form.bars[detected.bars[-1].position].measure_index
    assert (form.score.measures[last].number,) == take.where
