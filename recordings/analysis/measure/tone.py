"""Indicators beside the teacher's ear for tone; never a mark.

Harmonic to other energy as in harmonics-to-noise measures of voices (E. Yumoto et al., "Harmonics-to-noise
ratio as an index of the degree of hoarseness", JASA 71, 1982, from memory) and the spectral centroid
(J. M. Grey and J. W. Gordon, JASA 63, 1978, from memory). Samples are mono `(samples,)`; dB, Hz, percent and
cents. Nothing is raised; with too few long notes every figure is None.
"""

from dataclasses import dataclass

import librosa
import numpy as np
import scipy.fft

from recordings.analysis.follow.note_result import PLAYED, NoteResult
from recordings.analysis.statistics import robust_spread

WINDOW = 4096  # samples, 186 ms
LONG_NOTE_S = 0.3
MOST_NOTES = 150
HARMONICS = 20


@dataclass(frozen=True, slots=True)
class Tone:
    """Medians over long notes; None where there are too few.

    harmonic_to_noise_db: energy on the harmonics against the rest; centroid_hz and its spread in percent:
    brightness and how even it is; pitch_steadiness_cents: spread inside notes; attack_noise_db: share of
    unpitched sound in the first 60 ms against the middle of the note.
    """

    note_count: int
    harmonic_to_noise_db: float | None
    centroid_hz: float | None
    centroid_spread_percent: float | None
    pitch_steadiness_cents: float | None
    attack_noise_db: float | None


def measure(
    samples: np.ndarray, notes: tuple[NoteResult, ...], *, sample_rate: int, tuning_cents: float
) -> Tone:
    """Medians over confident long notes; `samples`: (samples,) mono, of the whole take.

    `tuning_cents`: how far its semitones lie above A = 440.
    """
    long = [
        n for n in notes
        if n.status == PLAYED and n.cents_from_printed is not None and n.evidence > 0.5
        and n.ended_s - n.began_s >= LONG_NOTE_S
    ]  # fmt: skip
    long = long[:: max(1, len(long) // MOST_NOTES)]
    if len(long) < 5:
        return Tone(len(long), None, None, None, None, None)
    readings = [_note(samples, n, sample_rate) for n in long]
    ratio, centroid, attack = (np.array(column) for column in zip(*readings, strict=True))
    spread = 100 * robust_spread(centroid) / np.median(centroid)
    return Tone(
        len(long), float(np.median(ratio)), float(np.median(centroid)), float(spread),
        float(np.median([n.spread_cents for n in long])), float(np.median(attack)),
    )  # fmt: skip


def _note(samples: np.ndarray, note: NoteResult, sample_rate: int) -> tuple[float, float, float]:
    hz = float(librosa.midi_to_hz(note.midi + note.printed_cents / 100))
    middle = int(0.5 * (note.began_s + note.ended_s) * sample_rate) - WINDOW // 2
    power, ratio = _ratio(samples, middle, WINDOW, hz, sample_rate)
    onset = int((note.began_s + 0.005) * sample_rate)
    _, attack = _ratio(samples, onset, 1024, hz, sample_rate)
    bins = np.arange(power.size) * sample_rate / WINDOW
    centroid = float((power * bins).sum() / max(power.sum(), 1e-12))
    return ratio, centroid, ratio - attack


def _ratio(
    samples: np.ndarray, start: int, window: int, hz: float, sample_rate: int
) -> tuple[np.ndarray, float]:
    """(power spectrum, harmonic to other energy in dB)."""
    piece = samples[max(start, 0) : max(start, 0) + window]
    piece = np.pad(piece, (0, window - piece.size)) * np.hanning(window)
    power = np.abs(scipy.fft.rfft(piece)) ** 2
    bins = np.arange(power.size) * sample_rate / window
    number = np.round(bins / hz)
    width = np.maximum(2.5 * sample_rate / window, 0.02 * bins)
    on = (number >= 1) & (number <= HARMONICS) & (np.abs(bins - number * hz) <= width)
    low = bins > 0.5 * hz
    other = power[~on & low].sum()
    return power, float(10 * np.log10((power[on].sum() + 1e-12) / (other + 1e-12)))
