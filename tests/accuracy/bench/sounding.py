"""What the soundfont's samples really sound like: how far off their MIDI pitch, and how late they speak.

A sampled note is a recording: it sits some cents off (up to 12 in this soundfont), carries its player's
own vibrato and scoop, and takes from 5 to 150 ms to be heard. The truth of a take has to hold both, so each
pitch an instrument plays is rendered alone for two seconds and measured once:

* pitch over time by heterodyning: each of the lowest harmonics is turned down to 0 Hz by the nominal
  pitch and smoothed over two periods; the slope of the phase left over is the distance from the nominal.
  Harmonics are weighed by their energy. The analysis under test reads pitch from peaks of a spectrum; no
  step is shared. `tests/accuracy/test_bench_quick.py` holds this way to a known tone.
* speaking delay: when the level over 5 ms first comes within 10 dB of the level it reaches in its first
  300 ms: the middle of the 6 to 15 dB that Vos and Rasch 1981 found for the perceived onset of tones (quoted
  from memory). It depends on the instrument and the pitch, not on the take. Bowed samples that bloom slowly
  (three violin pitches do) leave their onset uncertain by some 50 ms, whatever the definition.

The true pitch of a played note is its bend plus the mean of that curve over its middle (20 to 90 % of what
is heard of it), and its true onset is the note-on plus the delay.
"""

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import uniform_filter1d

from .midi import MidiNote
from .synth import SAMPLE_RATE, render

HELD_S, SPACE_S = 2.0, 3.2
CURVE_STEP_S = 0.01
FINE_STEP_S = 0.001
SMOOTHED_PERIODS = 2
HARMONICS = 6
HIGHEST_HZ = 8000.0
DELAY_BELOW_DB = 10.0
MIDDLE = (0.2, 0.9)
VELOCITY = 88


@dataclass(frozen=True, slots=True)
class SampledPitch:
    """One pitch of one instrument. `cents[i]` is the distance from the MIDI pitch `i * CURVE_STEP_S` in."""

    cents: np.ndarray
    delay_s: float
    level_db: float  # over the middle, struck as `VELOCITY`

    def middle_cents(self, length_s: float) -> float:
        """Mean distance over the middle of what is heard of a note held for this length."""
        return float(np.mean(self.cents[self.middle(length_s)]))

    def middle(self, length_s: float) -> slice:
        """The steps of `cents` in the middle of what is heard of a note held for this length."""
        detected_s = length_s - self.delay_s
        first, last = (int((self.delay_s + share * detected_s) / CURVE_STEP_S) for share in MIDDLE)
        first = min(first, self.cents.size - 1)
        return slice(first, min(max(last, first + 1), self.cents.size))


def listen(program: int, midis: list[int]) -> dict[int, SampledPitch]:
    """Render and measure every one of `midis` alone."""
    starts = [0.3 + SPACE_S * number for number in range(len(midis))]
    notes = [MidiNote(s, s + HELD_S, midi, 0.0, VELOCITY) for s, midi in zip(starts, midis, strict=True)]
    sound = render(notes, program=program)
    found = {}
    for start_s, midi in zip(starts, midis, strict=True):
        first = round(start_s * SAMPLE_RATE)
        note = sound[first : first + round(HELD_S * SAMPLE_RATE)]
        level_db = 10 * np.log10(np.mean(note[round(0.1 * SAMPLE_RATE) : round(0.5 * SAMPLE_RATE)] ** 2))
        found[midi] = SampledPitch(pitch_curve(note, hz_of(midi)), speaking_delay_s(note), float(level_db))
    return found


def hz_of(midi: float) -> float:
    return 440.0 * 2.0 ** ((midi - 69) / 12)


def pitch_curve(samples: np.ndarray, nominal_hz: float) -> np.ndarray:
    """Cents from `nominal_hz` every `CURVE_STEP_S`; right within about half a semitone of it."""
    seconds = np.arange(samples.size) / SAMPLE_RATE
    width = round(SMOOTHED_PERIODS * SAMPLE_RATE / nominal_hz)
    fine, steps = round(FINE_STEP_S * SAMPLE_RATE), round(CURVE_STEP_S / FINE_STEP_S)
    weighed, weights = 0.0, 1e-12
    for harmonic in range(1, min(HARMONICS, int(HIGHEST_HZ // nominal_hz)) + 1):
        turned = samples * np.exp(-2j * np.pi * harmonic * nominal_hz * seconds)
        for _again in range(2):  # a mean over whole periods is blind to the neighbouring harmonics
            turned = uniform_filter1d(turned.real, width) + 1j * uniform_filter1d(turned.imag, width)
        kept = turned[::fine]
        turning_hz = np.angle(kept[1:] * np.conj(kept[:-1])) / (2 * np.pi * fine / SAMPLE_RATE)
        energy = np.abs(kept[1:] * kept[:-1])
        ratio = np.maximum(1.0 + turning_hz / (harmonic * nominal_hz), 0.5)
        weighed = weighed + energy * 1200.0 * np.log2(ratio)
        weights = weights + energy
    whole = len(weights) // steps * steps
    in_steps = [np.reshape(part[:whole], (-1, steps)).sum(axis=1) for part in (weighed, weights)]
    return in_steps[0] / in_steps[1]


def speaking_delay_s(samples: np.ndarray) -> float:
    """Seconds from the note-on until the note can be heard."""
    power = uniform_filter1d(samples**2, round(0.005 * SAMPLE_RATE))
    level = np.sqrt(
        np.maximum(power, 0.0)
    )  # its running sum leaves less than nothing behind a note that died
    full = level[: round(0.3 * SAMPLE_RATE)].max()
    return float(np.argmax(level >= full * 10 ** (-DELAY_BELOW_DB / 20)) / SAMPLE_RATE)
