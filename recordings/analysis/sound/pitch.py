"""The pitch of one note, looked for around where the score expects it.

Harmonic summation over a fine grid of fundamentals within `REACH_CENTS` of the expected pitch, on a
zero-padded spectrum, peak refined by a parabola; then the middle of the note averaged over its vibrato.

The sum of the harmonics under falling weights is the subharmonic summation of D. J. Hermes ("Measurement of
pitch by subharmonic summation", Journal of the Acoustical Society of America 83, 1988, from memory). Other
than there, only fundamentals near a pitch that print already names are tried, so octaves need no deciding;
amplitudes enter by their square root, and each harmonic weighs 0.9 of the one below (0.84 there).
Vibrato is the strongest wave of the pitch track, its rate from the track's spectrum, its extent from the
track's standard deviation as of a sine; that a window flattens the wave is undone (`_kept`).
Samples are mono `(samples,)`, pitches Hz, results cents of equal temperament from the expected pitch.
Nothing is raised; what cannot be read is None.
"""

from dataclasses import dataclass

import numpy as np
import scipy.fft
from numba import njit

REACH_CENTS = 75.0
GRID_CENTS = 3.0
HARMONICS = 10
TOP_HZ = 5000.0
ELSEWHERE_CENTS = 360.0  # where no harmonic of the pitch lies: what the sum is without it
STRAY_CENTS = 70.0  # from the median; a vibrato's whole width is less
HOP = 256  # samples, 11.6 ms: fine enough for vibrato to 10 Hz
VIBRATO_LEAST_S = 0.35  # shorter notes show less than two cycles
VIBRATO_RANGE_HZ = (3.5, 9.0)
VIBRATO_LEAST_CENTS = 4.0  # half width; smaller waves are unsteadiness
TURNS = np.linspace(0.0, 1.6, 33)  # vibrato waves inside one window
LEAST_KEPT = 0.4  # what is lost beyond that cannot be restored


def _kept(turns: np.ndarray) -> np.ndarray:
    """Share of a frequency wave that the peak of a Hann-windowed spectrum shows.

    The peak's phase is a straight line fitted under the window w, so the frequency is averaged with the
    kernel sum(w t) from each time on; checked on synthetic tones (tests), for narrow waves exact.
    """
    time = np.linspace(-0.5, 0.5, 2001)
    kernel = np.cumsum((np.cos(np.pi * time) ** 2 * time)[::-1])[::-1]
    return np.cos(2 * np.pi * np.outer(turns, time)) @ (kernel / kernel.sum())


KEPT = _kept(TURNS)


@dataclass(frozen=True, slots=True)
class PitchReading:
    """Cents from the expected pitch. `clarity` 0..1: how far the sum at the pitch stands out."""

    cents: float
    spread_cents: float
    clarity: float
    frames: int
    at_edge: bool
    vibrato_rate_hz: float | None
    vibrato_extent_cents: float | None  # from the centre to either side


def window_for(hz: float, length_s: float, sample_rate: int) -> int:
    """Samples: at least ten periods, growing to a sixth of the note so that its middle is covered evenly."""
    window = 512
    while window < 10 * sample_rate / hz:
        window *= 2
    longest = 2048 if hz >= 150 else 4096
    while window * 2 <= min(length_s * sample_rate / 6, longest):
        window *= 2
    return min(window, longest)


def read(
    samples: np.ndarray, *, sample_rate: int, onset_s: float, offset_s: float, expected_hz: float
) -> PitchReading | None:
    """Measure one note; None when it is too short or too faint to be measured.

    `samples`: (samples,) mono, of the whole take; the note lies between `onset_s` and `offset_s`.
    `expected_hz` is its printed pitch at the take's rough tuning. Under the first and last few hundredths
    of a second pitch is not read: attack and release are not the pitch meant.
    """
    length = offset_s - onset_s
    window = window_for(expected_hz, length, sample_rate)
    # the attack and the release are not the pitch meant
    skip = min(0.06, 0.2 * length)
    first = int((onset_s + skip) * sample_rate)
    last = int((offset_s - min(0.03, 0.1 * length)) * sample_rate)
    starts = np.arange(first, last - window + 1, HOP)
    if not starts.size:
        starts = np.array([(first + last - window) // 2])
    starts = starts[(starts >= 0) & (starts + window <= samples.size)]
    if not starts.size or length < 0.03:
        return None
    grid, sums, elsewhere, loudness = _sums(samples, starts, window, sample_rate, expected_hz)
    if loudness.max() <= 1e-6:
        return None
    cents, edge = _peaks(grid, sums)
    clarity = np.clip(1 - elsewhere / np.maximum(sums.max(axis=1), 1e-9), 0, 1)
    usable = (loudness > 0.1 * loudness.max()) & ~edge
    if not usable.any():
        return PitchReading(float(np.median(cents)), 0.0, 0.0, 0, True, None, None)
    track, weight = cents[usable], (loudness * clarity)[usable]
    centre = float(np.median(track))
    # a wide vibrato gathers at its two ends: both belong to the mean, only strays do not
    near = np.abs(track - centre) <= STRAY_CENTS
    mean = float(np.average(track[near], weights=weight[near] + 1e-9))
    spread = float(np.sqrt(np.average((track[near] - mean) ** 2, weights=weight[near] + 1e-9)))
    rate, extent = (
        vibrato(track, HOP / sample_rate, window / sample_rate) if usable.mean() > 0.9 else (None, None)
    )
    return PitchReading(
        mean, spread, float(np.average(clarity[usable])), int(usable.sum()),
        bool(edge.mean() > 0.5), rate, extent,
    )  # fmt: skip


def _sums(
    samples: np.ndarray, starts: np.ndarray, window: int, sample_rate: int, expected_hz: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    taper = np.hanning(window).astype(np.float32)
    size = max(4 * window, 4096) if window <= 2048 else 2 * window
    frames = np.stack([samples[s : s + window] for s in starts]) * taper
    magnitude = np.abs(scipy.fft.rfft(frames, size, axis=1)).astype(np.float32)
    grid = np.arange(-REACH_CENTS, REACH_CENTS + GRID_CENTS / 2, GRID_CENTS)
    away = np.concatenate([grid, [-ELSEWHERE_CENTS, ELSEWHERE_CENTS]])
    f0 = expected_hz * 2 ** (away / 1200) * size / sample_rate
    count = max(1, min(HARMONICS, int(TOP_HZ / expected_hz)))
    loudness = np.sqrt(np.mean(frames * frames, axis=1))
    sums = harmonic_sums(np.sqrt(magnitude), f0, count)
    return grid, sums[:, : grid.size], sums[:, grid.size :].mean(axis=1), loudness


@njit(cache=True, nogil=True)
def harmonic_sums(roots: np.ndarray, f0_bins: np.ndarray, harmonics: int) -> np.ndarray:
    """(frames, candidates): the harmonics of each candidate in each frame, added up under falling weights.

    `roots`: (frames, bins) square roots of the magnitudes; `f0_bins`: (candidates,) fundamentals in bins,
    parts of bins included; `harmonics`: how many, fewer where the spectrum ends.
    """
    frames, bins = roots.shape
    result = np.zeros((frames, f0_bins.size))
    for t in range(frames):
        for c in range(f0_bins.size):
            total = 0.0
            for h in range(1, harmonics + 1):
                at = h * f0_bins[c]
                low = int(at)
                if low + 1 >= bins:
                    break
                part = at - low
                value = roots[t, low] * (1 - part) + roots[t, low + 1] * part
                total += value * 0.9 ** (h - 1)
            result[t, c] = total
    return result


def _peaks(grid: np.ndarray, sums: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    best = sums.argmax(axis=1)
    edge = (best == 0) | (best == grid.size - 1)
    inner = np.clip(best, 1, grid.size - 2)
    rows = np.arange(len(sums))
    left, centre, right = sums[rows, inner - 1], sums[rows, inner], sums[rows, inner + 1]
    offset = 0.5 * (left - right) / np.minimum(left - 2 * centre + right, -1e-9)
    cents = grid[inner] + np.clip(offset, -1, 1) * (grid[1] - grid[0])
    return cents, edge


def vibrato(track: np.ndarray, hop_s: float, window_s: float) -> tuple[float | None, float | None]:
    """(rate in Hz, half width in cents), or (None, None) where the track shows no clear wave.

    `track`: (frames,) cents, `hop_s` seconds apart, each read through a window of `window_s` seconds.
    """
    if track.size * hop_s < VIBRATO_LEAST_S - window_s or track.size < 16:
        return None, None
    at = np.arange(track.size)
    wave = track - np.polyval(np.polyfit(at, track, 2), at)
    spectrum = np.abs(np.fft.rfft(wave * np.hanning(wave.size), 1024)) ** 2
    rates = np.fft.rfftfreq(1024, hop_s)
    inside = (rates >= VIBRATO_RANGE_HZ[0]) & (rates <= VIBRATO_RANGE_HZ[1])
    if spectrum[inside].sum() < 0.5 * spectrum[rates > 1.5].sum():
        return None, None
    rate = float(rates[inside][spectrum[inside].argmax()])
    # a spectrum's peak follows the wave only in part: undo what the window loses at this rate
    kept = float(np.interp(rate * window_s, TURNS, KEPT))
    extent = float(np.sqrt(2) * wave.std() / max(kept, LEAST_KEPT))
    return (rate, extent) if extent >= VIBRATO_LEAST_CENTS else (None, None)
