"""What the soundfont's samples really sound like: how far each lies from its MIDI pitch, and how late it speaks.

A sampled note is a recording: it sits some cents off (up to 12 in this soundfont), carries its player's
own vibrato and scoop, and takes from 5 to 150 ms to be heard. The truth of a take has to hold both, so each
pitch an instrument plays is rendered alone for two seconds and measured once:

* pitch over time by heterodyning: each of the lowest harmonics is turned down to 0 Hz by the nominal
  pitch and smoothed over 40 ms; the slope of the phase left over is the distance from the nominal pitch.
  Harmonics are weighed by their energy. The analysis under test reads pitch from peaks of a spectrum; no
  step is shared. `tests/accuracy/test_bench_quick.py` holds this way to a known tone.
* speaking delay: when the level over 5 ms first comes within 20 dB of the level it reaches in its first
  300 ms. It depends on the instrument and the pitch, not on the take.

The true pitch of a played note is its bend plus the mean of that curve over the middle of its length
(20 to 90 %), and its true onset is the note-on plus the delay.
"""

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import uniform_filter1d

from .midi import MidiNote
from .synth import SAMPLE_RATE, render

HELD_S, SPACE_S = 2.0, 3.2
CURVE_STEP_S = 0.01
SMOOTHED_S = 0.04
HARMONICS = 8
HIGHEST_HZ = 8000.0
DELAY_BELOW_DB = 20.0
MIDDLE = (0.2, 0.9)
VELOCITY = 88


@dataclass(frozen=True, slots=True)
class SampledPitch:
    """One pitch of one instrument. `cents[i]` is the distance from the MIDI pitch `i * CURVE_STEP_S` in."""

    cents: np.ndarray
    delay_s: float

    def middle_cents(self, length_s: float) -> float:
        """Mean distance over the middle of a note of this length."""
        first, last = (int(share * length_s / CURVE_STEP_S) for share in MIDDLE)
        first = min(first, self.cents.size - 1)
        return float(np.mean(self.cents[first : max(last, first + 1)]))


def listen(program: int, midis: list[int]) -> dict[int, SampledPitch]:
    """Render and measure every one of `midis` alone."""
    starts = [0.3 + SPACE_S * number for number in range(len(midis))]
    notes = [MidiNote(s, s + HELD_S, midi, 0.0, VELOCITY) for s, midi in zip(starts, midis, strict=True)]
    sound = render(notes, program=program)
    found = {}
    for start_s, midi in zip(starts, midis, strict=True):
        first = round(start_s * SAMPLE_RATE)
        note = sound[first : first + round(HELD_S * SAMPLE_RATE)]
        found[midi] = SampledPitch(pitch_curve(note, hz_of(midi)), speaking_delay_s(note))
    return found


def hz_of(midi: float) -> float:
    return 440.0 * 2.0 ** ((midi - 69) / 12)


def pitch_curve(samples: np.ndarray, nominal_hz: float) -> np.ndarray:
    """Cents from `nominal_hz` every `CURVE_STEP_S`; right within about half a semitone of it."""
    seconds = np.arange(samples.size) / SAMPLE_RATE
    width = max(round(SMOOTHED_S * SAMPLE_RATE), round(3 * SAMPLE_RATE / nominal_hz))
    step = round(CURVE_STEP_S * SAMPLE_RATE)
    weighed, weights = 0.0, 1e-12
    for harmonic in range(1, min(HARMONICS, int(HIGHEST_HZ // nominal_hz)) + 1):
        turned = samples * np.exp(-2j * np.pi * harmonic * nominal_hz * seconds)
        for _again in range(2):  # twice: the neighbouring harmonics must not leak in
            turned = uniform_filter1d(turned.real, width) + 1j * uniform_filter1d(turned.imag, width)
        kept = turned[::step]
        turning = np.angle(kept[1:] * np.conj(kept[:-1])) / (2 * np.pi * step / SAMPLE_RATE)
        energy = np.abs(kept[1:] * kept[:-1])
        ratio = 1.0 + turning / (harmonic * nominal_hz)
        weighed = weighed + energy * 1200.0 * np.log2(np.maximum(ratio, 0.5))
        weights = weights + energy
    return weighed / weights


def speaking_delay_s(samples: np.ndarray) -> float:
    """Seconds from the note-on until the note can be heard."""
    level = np.sqrt(uniform_filter1d(samples**2, round(0.005 * SAMPLE_RATE)))
    full = level[: round(0.3 * SAMPLE_RATE)].max()
    return float(np.argmax(level >= full * 10 ** (-DELAY_BELOW_DB / 20)) / SAMPLE_RATE)
