"""The take's own reference pitch: first roughly from the whole sound, later from the measured notes.

The rough one is librosa's: the mode of a histogram of spectral peaks on the tempered grid. Samples are mono
`(samples,)`, results Hz or cents from A = 440. Nothing is raised; what cannot be told is None, or 0 cents
where a later stage only needs somewhere to begin.
"""

from dataclasses import dataclass

import librosa
import numpy as np
import scipy.fft

from recordings.analysis.statistics import robust_slope, weighted_median

PEAK_WINDOW = 8192  # samples; 2.7 Hz bins, refined by interpolation
LOWEST_PEAK_HZ, HIGHEST_PEAK_HZ = 90.0, 1400.0  # high harmonics sit off the tempered grid
MOST_FRAMES = 600  # enough for the mode; spread over the take
QUIETEST_PEAK = 1e-3  # of a spectrum: that of a tone of -126 dBFS; with less there is nothing to tune by
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

    The mode of the spectral peaks' distances to the tempered grid, to a cent. `samples`: (samples,) mono.
    """
    if samples.size < PEAK_WINDOW:
        return 0.0
    frames = librosa.util.frame(samples, frame_length=PEAK_WINDOW, hop_length=PEAK_WINDOW // 2)
    chosen = np.unique(np.linspace(0, frames.shape[1] - 1, MOST_FRAMES).astype(int))
    taper = librosa.filters.get_window("hann", PEAK_WINDOW).astype(np.float32)
    magnitude = np.abs(scipy.fft.rfft(frames[:, chosen] * taper[:, None], axis=0))
    if magnitude.max() < QUIETEST_PEAK:
        return 0.0
    return 100.0 * float(
        librosa.estimate_tuning(
            S=magnitude,
            sr=sample_rate,
            n_fft=PEAK_WINDOW,
            fmin=LOWEST_PEAK_HZ,
            fmax=HIGHEST_PEAK_HZ,
            resolution=0.01,
        )
    )


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
    a4_hz = float(librosa.tuning_to_A4(centre / 100))
    return Tuning(a4_hz, centre, drift, count, temperament, transposed_semitones)
