"""Pitch held to what stands outside the project: interval tables, ISO 16, open strings, known vibrato."""

import numpy as np
import pytest

from recordings.analysis.follow.observation import midi_hz
from recordings.analysis.measure.intonation import leaning_cents, temperament_offset
from recordings.analysis.recording.decode import SAMPLE_RATE
from recordings.analysis.sound import pitch

C4 = 60
# cents above the tonic: just and Pythagorean intervals computed from their ratios; they agree with the table
# of major thirds and sevenths at teoria.com/en/articles/2020/cents/09.php (386, 408, 400; 702; 1088, 1110)
RATIOS = {
    "just": {1: 16 / 15, 2: 9 / 8, 3: 6 / 5, 4: 5 / 4, 5: 4 / 3, 7: 3 / 2, 9: 5 / 3, 11: 15 / 8},
    "pythagorean": {
        1: 256 / 243,
        2: 9 / 8,
        3: 32 / 27,
        4: 81 / 64,
        5: 4 / 3,
        7: 3 / 2,
        9: 27 / 16,
        11: 243 / 128,
    },
}


def cents(ratio: float) -> float:
    return 1200 * np.log2(ratio)


@pytest.mark.parametrize("system", ["just", "pythagorean"])
@pytest.mark.parametrize("octave", [-1, 0, 2])
def test_intervals_above_the_tonic_are_those_of_their_ratios(system, octave):
    for semitones, ratio in RATIOS[system].items():
        midi = C4 + 12 * octave + semitones
        placed = 100 * semitones + temperament_offset(midi, temperament=system, tonic_midi=C4)
        assert placed == pytest.approx(cents(ratio), abs=0.001)


def test_the_commas_lie_between_the_systems():
    thirds = [temperament_offset(C4 + 4, temperament=s, tonic_midi=C4) for s in ("just", "pythagorean")]
    assert thirds[1] - thirds[0] == pytest.approx(cents(81 / 80), abs=0.001)
    assert 12 * cents(3 / 2) - 7 * 1200 == pytest.approx(23.460, abs=0.001)


@pytest.mark.parametrize("midi", range(48, 84))
def test_equal_temperament_has_no_offsets_and_needs_no_tonic(midi):
    assert temperament_offset(midi, temperament="equal", tonic_midi=C4) == 0.0
    assert temperament_offset(midi, temperament="just", tonic_midi=None) == 0.0


def test_a_is_440_and_middle_c_follows():
    """ISO 16:1975 gives A = 440 Hz; oeis.org/A320304 its number 69 and the equal semitones."""
    assert midi_hz(69, 0.0) == pytest.approx(440.0)
    assert midi_hz(60, 0.0) == pytest.approx(261.626, abs=0.001)
    assert midi_hz(69, cents(442 / 440)) == pytest.approx(442.0)
    assert cents(442 / 440) == pytest.approx(7.851, abs=0.001)


@pytest.mark.parametrize(
    ("midi", "hz"), [(55, 440 * (2 / 3) ** 2), (62, 440 * 2 / 3), (69, 440.0), (76, 440 * 3 / 2)]
)
def test_violin_strings_in_pure_fifths_lie_at_their_pythagorean_places(midi, hz):
    """Strings G D A E: owiki.org/wiki/Standard_Tuning; pure fifths from A: -3.9, -2.0, 0, +2.0 cents."""
    pure = cents(hz / 440.0)
    assert 100 * (midi - 69) + temperament_offset(midi, temperament="pythagorean", tonic_midi=69) == (
        pytest.approx(pure, abs=0.001)
    )


def test_a_leading_note_is_leaned_to_upwards_and_a_minor_third_downwards():
    """Common practice, no published source for the limit; the direction is the chain of pure fifths."""
    assert leaning_cents(C4 + 11, temperament="equal", tonic_midi=C4) == pytest.approx(9.8, abs=0.1)
    assert leaning_cents(C4 + 3, temperament="equal", tonic_midi=C4) == pytest.approx(-5.9, abs=0.1)
    assert leaning_cents(C4 + 11, temperament="pythagorean", tonic_midi=C4) == 0.0


def tone(seconds: float, *, midi: float, rate_hz: float = 5.5, half_width: float = 0.0, wander=None, seed=3):
    time = np.arange(int(seconds * SAMPLE_RATE)) / SAMPLE_RATE
    bend = half_width * np.sin(2 * np.pi * rate_hz * time + 0.7)
    if wander is not None:
        bend = bend + wander(time)
    phase = 2 * np.pi * np.cumsum(midi_hz(midi, 0.0) * 2 ** (bend / 1200)) / SAMPLE_RATE
    wave = sum(np.sin(k * phase) / k for k in range(1, 9))
    noise = np.random.default_rng(seed).standard_normal(time.size)
    return (0.1 * wave + 0.0005 * noise).astype(np.float32)


def read(samples: np.ndarray, midi: int) -> pitch.PitchReading:
    return pitch.read(
        samples, sample_rate=SAMPLE_RATE, onset_s=0.0, offset_s=samples.size / SAMPLE_RATE,
        expected_hz=midi_hz(midi, 0.0),
    )  # fmt: skip


@pytest.mark.parametrize("midi", [43, 57, 69, 81])
@pytest.mark.parametrize("seconds", [0.3, 0.45, 0.6, 1.2, 2.5])
def test_a_straight_tone_has_no_vibrato(midi, seconds):
    reading = read(tone(seconds, midi=midi + 0.06), midi)
    assert reading.vibrato_rate_hz is None
    assert reading.vibrato_extent_cents is None
    assert reading.cents == pytest.approx(6.0, abs=1.0)


def slide(time):
    return 25.0 * time / time[-1]


def settling(time):
    return -30.0 * np.exp(-time / 0.15)


def unsteady(time):
    steps = np.random.default_rng(11).standard_normal(time.size // 1100 + 2)
    walk = np.interp(np.arange(time.size) / 1100, np.arange(steps.size), np.cumsum(steps))
    return 2.0 * (walk - walk.mean())


@pytest.mark.parametrize("wander", [slide, settling, unsteady])
@pytest.mark.parametrize("seconds", [0.4, 0.8, 1.6])
def test_a_slide_and_an_unsteady_tone_are_no_vibrato(wander, seconds):
    assert read(tone(seconds, midi=69, wander=wander), 69).vibrato_rate_hz is None


@pytest.mark.parametrize("seconds", [0.1, 0.2, 0.25])
def test_no_vibrato_is_told_of_a_note_shorter_than_two_waves(seconds):
    assert read(tone(seconds, midi=69, half_width=30.0), 69).vibrato_rate_hz is None


@pytest.mark.parametrize("midi", [57, 69, 76])
@pytest.mark.parametrize(("rate_hz", "half_width"), [(5.5, 30.0), (5.5, 15.0), (4.8, 20.0), (6.8, 25.0)])
def test_a_known_vibrato_is_measured(midi, rate_hz, half_width):
    """Rate within 0.4 Hz, half width within a fifth, the middle within 2 cents."""
    reading = read(tone(1.0, midi=midi, rate_hz=rate_hz, half_width=half_width), midi)
    assert reading.vibrato_rate_hz == pytest.approx(rate_hz, abs=0.4)
    assert reading.vibrato_extent_cents == pytest.approx(half_width, rel=0.2)
    assert reading.cents == pytest.approx(0.0, abs=2.0)
