"""One feature pass over the sound, shared by every later stage.

`spectra` are magnitude spectra to the power 0.5 above each bin's own noise floor, each frame
normalised to sum one, so that a frame says *where* its sound is and not how loud it is.
`level_db` and `novelty` carry the loudness and the attacks apart from it.
Frames stay inside this package's alignment; other stages get seconds.

The novelty is a spectral flux, by librosa's `onset_strength`: the half-wave rectified rise of the
logarithmically compressed spectrum (Bello et al., "A tutorial on onset detection in music signals", IEEE
Transactions on Speech and Audio Processing 13, 2005), against the largest of neighbouring bins some frames
before, so that a vibrato does not count as attacks (S. Böck and G. Widmer, "Maximum filter vibrato
suppression for onset detection", DAFx-13, 2013); both from memory. That it counts only where the level
rises is this project's own.
All grids and windows last the same time at every sample rate; one that holds less than `TOP_HZ` is refused.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import librosa
import numpy as np
import scipy.fft
import scipy.ndimage
import scipy.signal

# samples at `GRID_RATE`; at another sample rate as many as last the same time
GRID_RATE = 22050
FINE_HOP = 128  # 5.8 ms: the onset curve's grid
HOPS = 4  # fine hops in one hop, 23 ms: the alignment's grid
FINE_WINDOW = 1024  # 46 ms
LAG_FRAMES = 3  # fine frames over which the spectrum's rise is taken
VIBRATO_BINS = 3  # of the fine spectrum, whose largest value before is what a bin must rise above
FLOOR_FRAMES = 1500
TOP_HZ = 5000.0  # above this, bow and breath noise say more than pitch
BLOCK_FRAMES = 2048  # frames transformed at a time; bounds memory
LOW_PITCH_MIDI = 55  # scores that go below G3 need the longer window to part semitones


@dataclass(frozen=True, slots=True)
class Features:
    """Frame i is centred on `i * frame_s` seconds, fine frame i on `i * fine_frame_s`.

    spectra: (frames, bins) float16 rows summing to 1 (0 in silence); bin_hz: width of a bin.
    level_db: (frames,) RMS level in dBFS. novelty: (frames,) attack strength, about 0..1.
    fine_novelty: (fine frames,) the same on the fine grid; fine_level_db: the level there.
    """

    sample_rate: int
    window: int
    bin_hz: float
    spectra: np.ndarray
    level_db: np.ndarray
    novelty: np.ndarray
    fine_novelty: np.ndarray
    fine_level_db: np.ndarray

    @property
    def frame_s(self) -> float:
        """Seconds from one frame of the alignment to the next."""
        return HOPS * _fine_hop(self.sample_rate) / self.sample_rate

    @property
    def fine_frame_s(self) -> float:
        """Seconds from one frame of the onset curve to the next."""
        return _fine_hop(self.sample_rate) / self.sample_rate


def _scaled(samples: int, sample_rate: int) -> int:
    return round(samples * sample_rate / GRID_RATE)


def _fine_hop(sample_rate: int) -> int:
    return _scaled(FINE_HOP, sample_rate)


def window_for(lowest_midi: int, sample_rate: int = GRID_RATE) -> int:
    """Window length in samples that still parts neighbouring semitones of the lowest note's harmonics."""
    return _scaled(2048 if lowest_midi >= LOW_PITCH_MIDI else 4096, sample_rate)


def extract(samples: np.ndarray, *, sample_rate: int, lowest_midi: int) -> Features:
    """All features of a take; `samples` is mono float32. An empty take gives empty arrays.

    Raises ValueError for a sample rate that cannot hold sound up to `TOP_HZ`.
    """
    if sample_rate < 2 * TOP_HZ:
        raise ValueError(
            f"Sound at {sample_rate} Hz ends below {TOP_HZ:.0f} Hz: too little to follow a score by."
        )
    window, hop = window_for(lowest_midi, sample_rate), HOPS * _fine_hop(sample_rate)
    bin_hz = sample_rate / window
    bins = int(TOP_HZ / bin_hz)
    frames = samples.size // hop + 1 if samples.size else 0
    spectra = np.zeros((frames, bins), dtype=np.float16)
    level = np.full(frames, -120.0, dtype=np.float32)
    for first, block in _frames(samples, window, hop, frames):
        magnitude = np.abs(scipy.fft.rfft(block, axis=1))[:, :bins]
        spectra[first : first + len(block)] = np.sqrt(magnitude)
        power = np.mean(block * block, axis=1) / 0.375  # 0.375: mean power of the Hann window
        level[first : first + len(block)] = 10 * np.log10(power + 1e-12)
    _normalise(spectra)
    fine, fine_level = _novelty(samples, sample_rate)
    return Features(
        sample_rate, window, bin_hz, spectra, level, _coarse(fine, HOPS, frames), fine, fine_level
    )


def _frames(samples: np.ndarray, window: int, hop: int, frames: int) -> Iterator[tuple[int, np.ndarray]]:
    """Yield (index of first frame, Hann-windowed centred frames) in blocks."""
    taper = scipy.signal.get_window("hann", window).astype(np.float32)
    half = window // 2
    for first in range(0, frames, BLOCK_FRAMES):
        count = min(BLOCK_FRAMES, frames - first)
        start = first * hop - half
        stop = start + (count - 1) * hop + window
        piece = samples[max(start, 0) : min(stop, samples.size)]
        piece = np.pad(piece, (max(-start, 0), max(stop - max(samples.size, start), 0)))[: stop - start]
        frames_there = librosa.util.frame(piece, frame_length=window, hop_length=hop, axis=0)
        yield first, frames_there[:count] * taper


def _normalise(spectra: np.ndarray) -> None:
    """Take each bin's noise floor (10th percentile in time) away and scale rows to sum 1, in place."""
    if not len(spectra):
        return
    step = max(1, len(spectra) // 4000)
    floor = np.percentile(spectra[::step].astype(np.float32), 10, axis=0)
    # a note held through most of the take must not count as noise
    smooth = scipy.ndimage.minimum_filter1d(floor, 9)
    smooth = scipy.ndimage.uniform_filter1d(smooth, 15)
    for first in range(0, len(spectra), BLOCK_FRAMES):
        rows = np.maximum(spectra[first : first + BLOCK_FRAMES].astype(np.float32) - 1.5 * smooth, 0)
        # what does not stand out from its surroundings is bow, breath, room: not pitch
        rows = np.maximum(rows - 1.2 * scipy.ndimage.uniform_filter1d(rows, 21, axis=1), 0)
        total = rows.sum(axis=1, keepdims=True)
        spectra[first : first + BLOCK_FRAMES] = rows / np.maximum(total, 1e-6)


def _novelty(samples: np.ndarray, sample_rate: int) -> tuple[np.ndarray, np.ndarray]:
    """Attack strength and level on the fine grid.

    Half-wave rectified rise of the compressed spectrum against the largest of neighbouring bins
    `LAG_FRAMES` before (so that vibrato does not count as attacks), scaled by its own 98th percentile.
    """
    hop, window = _fine_hop(sample_rate), _scaled(FINE_WINDOW, sample_rate)
    bins = int(TOP_HZ * window / sample_rate)
    frames = samples.size // hop + 1 if samples.size else 0
    flux = np.zeros(frames, dtype=np.float32)
    level = np.full(frames, -120.0, dtype=np.float32)
    tail: np.ndarray | None = None
    floor = _fine_floor(samples, frames, hop, window, bins)
    for first, block in _frames(samples, window, hop, frames):
        magnitude = np.maximum(np.abs(scipy.fft.rfft(block, axis=1))[:, :bins] - floor, 0)
        level[first : first + len(block)] = 10 * np.log10(np.mean(block * block, axis=1) / 0.375 + 1e-12)
        loud = np.log1p(30.0 * magnitude / (window / 8)).astype(np.float32)
        before = np.zeros((LAG_FRAMES, loud.shape[1]), np.float32) + loud[0] if tail is None else tail
        joined = np.concatenate([before, loud])
        rise = librosa.onset.onset_strength(
            S=joined.T, sr=sample_rate, lag=LAG_FRAMES, max_size=VIBRATO_BINS, center=False, aggregate=np.sum
        )
        flux[first : first + len(block)] = rise[LAG_FRAMES:]
        tail = loud[-LAG_FRAMES:]
    # the rise is complete `LAG_FRAMES` late; its middle is the attack
    flux = np.roll(flux, -(LAG_FRAMES // 2)) if frames else flux
    flux *= _rising(level, hop / sample_rate)
    top = float(np.percentile(flux, 98)) if frames else 0.0
    return np.minimum(flux / max(top, 1e-3), 2.0).astype(np.float32), level


def _rising(level_db: np.ndarray, step_s: float) -> np.ndarray:
    """0..1 per fine frame: 1 where the level rises from just before to just after, 0 where it falls away.

    The end of a note splashes over the spectrum as its beginning does; only the level tells them apart.
    """
    if not level_db.size:
        return level_db
    reach = int(0.03 / step_s)
    before = scipy.ndimage.uniform_filter1d(level_db, 3, origin=0)
    change = np.roll(before, -reach) - np.roll(before, reach // 2)
    change[-reach:], change[: reach // 2] = 0.0, 0.0
    return (1 / (1 + np.exp(-np.clip((change + 3.0) / 1.2, -30, 30)))).astype(np.float32)


def _fine_floor(samples: np.ndarray, frames: int, hop: int, window: int, bins: int) -> np.ndarray:
    """Twice the noise floor of each fine bin (10th percentile of frames spread over the take)."""
    chosen = np.unique(np.linspace(0, frames - 1, min(frames, FLOOR_FRAMES)).astype(int)) * hop
    chosen = chosen[chosen + window <= samples.size]
    if not chosen.size:
        return np.zeros(bins, dtype=np.float32)
    taper = scipy.signal.get_window("hann", window).astype(np.float32)
    frames_there = np.stack([samples[c : c + window] for c in chosen]) * taper
    floor = np.percentile(np.abs(scipy.fft.rfft(frames_there, axis=1))[:, :bins], 10, axis=0)
    # smoothed down, so that a pitch held through the take is not taken for noise
    return 2.0 * scipy.ndimage.minimum_filter1d(floor, 7).astype(np.float32)


def _coarse(fine: np.ndarray, ratio: int, frames: int) -> np.ndarray:
    """Largest fine value around each coarse frame."""
    padded = np.pad(fine, (ratio // 2, ratio * 2))
    count = min(frames, (padded.size - ratio) // ratio + 1)
    result = np.zeros(frames, dtype=np.float32)
    view = np.lib.stride_tricks.sliding_window_view(padded, ratio)[::ratio]
    result[:count] = view[:count].max(axis=1)
    return result
