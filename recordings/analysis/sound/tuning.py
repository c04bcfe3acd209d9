"""The take's own reference pitch: first roughly from the whole sound, later from the measured notes.

The rough one is the mode of a histogram of spectral peaks on the tempered grid, the usual way to a tuning
estimate (for example K. Dressler and S. Streich, "Tuning frequency estimation using circular statistics",
ISMIR 2007, from memory). Samples are mono `(samples,)`, results Hz or cents from A = 440. Nothing is raised;
what cannot be told is None, or 0 cents where a later stage only needs somewhere to begin.
"""

from dataclasses import dataclass

import numpy as np
import scipy.fft

from recordings.analysis.statistics import robust_slope, weighted_median

PEAK_WINDOW = 8192  # samples; 2.7 Hz bins, refined by interpolation
LOWEST_PEAK_HZ, HIGHEST_PEAK_HZ = 90.0, 1400.0  # high harmonics sit off the tempered grid
MOST_FRAMES = 600  # enough for the mode; spread over the take
MIN_NOTES_FOR_DRIFT = 12
MIN_SPAN_FOR_DRIFT_S = 20.0


@dataclass(frozen=True, slots=True)
class Tuning:
    """The take's A in Hz, how far it lies from 440, and where it goes during the take."""

    a4_hz: float | None
    cents_from_440: float | None
    drift_cents_per_minute: float | None
    note_count: int
    temperament: str
    transposed_semitones: int  # whole semitones the take sounds above what is printed


def rough_cents(samples: np.ndarray, *, sample_rate: int) -> float:
    """Where the take's semitones lie against A = 440, in -50..50 cents; 0 for silence.

    The mode of the spectral peaks' distances to the tempered grid, weighted by their size. `samples`:
    (samples,) mono.
    """
    frames = max(1, (samples.size - PEAK_WINDOW) // (PEAK_WINDOW // 2))
    if samples.size < PEAK_WINDOW:
        return 0.0
    chosen = np.unique(np.linspace(0, frames - 1, min(frames, MOST_FRAMES)).astype(int))
    taper = np.hanning(PEAK_WINDOW).astype(np.float32)
    cents, weights = [], []
    for index in chosen:
        start = index * (PEAK_WINDOW // 2)
        magnitude = np.abs(scipy.fft.rfft(samples[start : start + PEAK_WINDOW] * taper))
        found, size = _peaks(magnitude, sample_rate / PEAK_WINDOW)
        cents.append(found)
        weights.append(size)
    return _mode(np.concatenate(cents), np.concatenate(weights))


def _peaks(magnitude: np.ndarray, bin_hz: float) -> tuple[np.ndarray, np.ndarray]:
    low, high = int(LOWEST_PEAK_HZ / bin_hz), int(HIGHEST_PEAK_HZ / bin_hz)
    logs = np.log(magnitude + 1e-9)
    middle = logs[low:high]
    rising = (middle > logs[low - 1 : high - 1]) & (middle >= logs[low + 1 : high + 1])
    at = np.flatnonzero(rising & (magnitude[low:high] > 0.1 * magnitude[low:high].max() + 1e-6)) + low
    left, centre, right = logs[at - 1], logs[at], logs[at + 1]
    offset = 0.5 * (left - right) / np.minimum(left - 2 * centre + right, -1e-9)
    hz = (at + offset) * bin_hz
    return 1200 * np.log2(hz / 440.0), np.sqrt(magnitude[at])


def _mode(cents: np.ndarray, weights: np.ndarray) -> float:
    if not cents.size:
        return 0.0
    histogram, _ = np.histogram(np.mod(cents, 100.0), bins=100, range=(0, 100), weights=weights)
    kernel = np.exp(-0.5 * (np.arange(-45, 46) / 15.0) ** 2)
    smooth = np.convolve(np.tile(histogram, 3), kernel, mode="same")[100:200]
    peak = float(smooth.argmax()) + 0.5
    return peak - 100.0 if peak > 50.0 else peak


def from_notes(
    cents_from_440: np.ndarray,
    times_s: np.ndarray,
    weights: np.ndarray,
    *,
    temperament: str,
    transposed_semitones: int,
) -> Tuning:
    """Reference pitch and drift from each note's distance to its place at A = 440.

    All arrays are (notes,): cents, onsets in seconds, and weights above 0. Fewer than three notes give no
    pitch; few or close ones no drift.
    """
    count = cents_from_440.size
    if count < 3:
        return Tuning(None, None, None, count, temperament, transposed_semitones)
    centre = weighted_median(cents_from_440, weights)
    drift = None
    if count >= MIN_NOTES_FOR_DRIFT and np.ptp(times_s) >= MIN_SPAN_FOR_DRIFT_S:
        drift = 60.0 * robust_slope(times_s, cents_from_440)
    return Tuning(440.0 * 2 ** (centre / 1200), centre, drift, count, temperament, transposed_semitones)
