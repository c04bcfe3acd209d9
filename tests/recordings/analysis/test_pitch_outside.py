"""Pitch held to what stands outside the project: interval tables, ISO 16, open strings, known vibrato."""

import numpy as np
import pytest

from recordings.analysis.follow.observation import midi_hz
from recordings.analysis.measure.fifths import FIFTH_CENTS
from recordings.analysis.measure.temperaments import leaning, offset_cents
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


# places on the line of fifths above a keynote, by semitones above it
PLACES = {1: -5, 2: 2, 3: -3, 4: 4, 5: -1, 7: 1, 9: 3, 11: 5}


@pytest.mark.parametrize("system", ["just", "pythagorean"])
@pytest.mark.parametrize("keynote", [-4, 0, 3])
def test_intervals_above_the_keynote_are_those_of_their_ratios(system, keynote):
    for semitones, ratio in RATIOS[system].items():
        offset = offset_cents(keynote + PLACES[semitones], temperament=system, keynote=keynote)
        assert 100 * semitones + offset == pytest.approx(cents(ratio), abs=0.001)


def test_the_commas_lie_between_the_systems():
    thirds = [offset_cents(4, temperament=s, keynote=0) for s in ("just", "pythagorean")]
    assert thirds[1] - thirds[0] == pytest.approx(cents(81 / 80), abs=0.001)


def test_a_sharp_lies_higher_than_the_flat_on_the_same_key():
    """C sharp beside D flat by the Pythagorean comma, 531441 to 524288; lower by a diesis in pure thirds."""
    sharp, flat = (offset_cents(place, temperament="pythagorean", keynote=3) for place in (7, -5))
    assert sharp - flat == pytest.approx(cents(531441 / 524288), abs=0.001)
    sharp, flat = (offset_cents(place, temperament="just", keynote=0) for place in (8, -4))
    assert flat - sharp == pytest.approx(cents(128 / 125), abs=0.001)


@pytest.mark.parametrize("fifths", range(-7, 12))
def test_equal_temperament_has_no_offsets_and_needs_no_keynote(fifths):
    assert offset_cents(fifths, temperament="equal", keynote=0) == 0.0
    assert offset_cents(fifths, temperament="just", keynote=None) == 0.0


def test_a_is_440_and_middle_c_follows():
    """ISO 16:1975 gives A = 440 Hz; oeis.org/A320304 its number 69 and the equal semitones."""
    assert midi_hz(69, 0.0) == pytest.approx(440.0)
    assert midi_hz(60, 0.0) == pytest.approx(261.626, abs=0.001)
    assert midi_hz(69, cents(442 / 440)) == pytest.approx(442.0)
    assert cents(442 / 440) == pytest.approx(7.851, abs=0.001)


@pytest.mark.parametrize(
    ("midi", "fifths", "hz"),
    [(55, 1, 440 * (2 / 3) ** 2), (62, 2, 440 * 2 / 3), (69, 3, 440.0), (76, 4, 440 * 3 / 2)],
)
def test_violin_strings_in_pure_fifths_lie_at_their_pythagorean_places(midi, fifths, hz):
    """Strings G D A E: owiki.org/wiki/Standard_Tuning; pure fifths from A: -3.9, -2.0, 0, +2.0 cents."""
    pure = cents(hz / 440.0)
    placed = 100 * (midi - 69) + offset_cents(fifths, temperament="pythagorean", keynote=3)
    assert placed == pytest.approx(pure, abs=0.001)


def played_in(cents_per_fifth: float, *, notes: int, off: float = 4.0, seed: int = 5):
    rng = np.random.default_rng(seed)
    fifths = rng.choice([-1, 0, 1, 2, 3, 4, 5, 8], notes)
    return fifths, cents_per_fifth * fifths + rng.normal(0, off, notes)


@pytest.mark.parametrize("system", [0.0, 1.0, FIFTH_CENTS, 2.6, -1.5])
def test_a_players_own_system_is_read_from_the_notes(system):
    found = leaning(*played_in(system, notes=200))
    assert found.cents_per_fifth == pytest.approx(system, abs=0.4)
    assert found.kept_to == pytest.approx(max(system, 0.0), abs=0.4)


def test_one_pitch_far_off_makes_no_system():
    fifths, off = played_in(0.0, notes=200)
    off = off + np.where(fifths == 5, 25.0, 0.0)
    found = leaning(fifths, off)
    assert found is None or abs(found.cents_per_fifth) < 0.8


def test_no_system_is_told_of_few_notes_or_of_a_wild_take():
    assert leaning(*played_in(2.0, notes=40)) is None
    wild, off = played_in(2.0, notes=100, off=30.0)
    found = leaning(wild, off)
    assert found is None or found.error_cents <= 0.4


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
