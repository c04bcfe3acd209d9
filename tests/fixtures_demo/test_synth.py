"""The synthesiser keeps its word: measured cents, levels and times are the ones it was given."""

import numpy as np
import pytest

from fixtures.sounds.playing import Bend, Hand, perform
from fixtures.sounds.synth import SAMPLE_RATE, VOICES, Room, render
from tests.fixtures_demo.tune import two_bars

pytestmark = pytest.mark.slow


def sound(voice="violin", *, room=None, a4_hz=440.0, bends=()):
    rng = np.random.default_rng(5)
    played = perform(two_bars(), Hand(bpm=60.0, bends=bends), beat_unit_q=1.0, rng=rng)
    return played, render(played.notes, VOICES[voice], a4_hz=a4_hz, room=room or Room(), rng=rng)


def heard_cents(samples, note, a4_hz):
    """Cents from the note's pitch, by the strongest harmonic sum over the note's middle."""
    middle = samples[int((note.onset_s + 0.1) * SAMPLE_RATE) : int((note.offset_s - 0.05) * SAMPLE_RATE)]
    spectrum = np.abs(np.fft.rfft(middle * np.hanning(len(middle)), 1 << 18))
    bins_hz = np.arange(len(spectrum)) * SAMPLE_RATE / (1 << 18)
    tried = np.arange(-40.0, 40.5, 0.5)
    pitches = a4_hz * 2.0 ** ((note.midi - 69 + tried / 100.0) / 12.0)
    sums = np.sum([np.interp(n * pitches, bins_hz, spectrum) for n in range(1, 7)], axis=0)
    return tried[int(np.argmax(sums))]


@pytest.mark.parametrize("voice", sorted(VOICES))
def test_each_note_sounds_at_its_own_cents(voice):
    played, samples = sound(voice, a4_hz=443.0, bends=(Bend(-22.0, ("F#",)),))
    errors = [heard_cents(samples, note, 443.0) - note.cents for note in played.notes]
    assert np.median(np.abs(errors)) <= 2.0
    assert np.max(np.abs(errors)) <= 5.0


def test_there_is_no_sound_before_the_first_note():
    played, samples = sound()
    before = samples[: int((played.notes[0].onset_s - 0.02) * SAMPLE_RATE)]
    assert np.sqrt(np.mean(before**2)) == pytest.approx(10 ** (-60 / 20), rel=0.2)


def test_a_driven_take_is_clipped_and_a_plain_one_is_not():
    assert np.mean(np.abs(sound(room=Room(gain_db=14.0))[1]) >= 1.0) > 0.01
    assert np.abs(sound()[1]).max() < 0.7


def test_hum_stands_at_fifty_hertz():
    _, samples = sound(room=Room(hum_db=-30.0))
    quiet = samples[: int(0.6 * SAMPLE_RATE)]
    spectrum = np.abs(np.fft.rfft(quiet * np.hanning(len(quiet))))
    assert abs(np.argmax(spectrum) * SAMPLE_RATE / len(quiet) - 50.0) < 2.0
