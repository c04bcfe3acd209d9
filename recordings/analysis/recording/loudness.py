"""Loudness by ITU-R BS.1770-4: K-weighting, gated integration, true peak by oversampling.

The range is that of EBU Tech 3342. Samples are mono `(samples,)`, powers `(steps,)` mean squares; results are
LUFS, LU or dBTP. Nothing is raised; what passes no gate is None.

Mono: one channel of weight 1. A stereo recording mixed down to its mean reads up to 3 LU lower than
the standard's sum over channels; `integrated` takes `channels` to undo that for equal channels.
"""

import numpy as np
import scipy.signal

BLOCK_S, STEP_S = 0.4, 0.1
SHORT_TERM_S = 3.0
ABSOLUTE_GATE_LUFS, RELATIVE_GATE_LU = -70.0, -10.0
RANGE_GATE_LU = -20.0
OFFSET = -0.691
# the standard's two filters at 48 kHz as analogue designs: shelf f0 1681.97 Hz, +4 dB; high pass 38.14 Hz
SHELF_HZ, SHELF_DB, SHELF_Q = 1681.9744509555319, 3.99984385397, 0.7071752369554193
HIGH_PASS_HZ, HIGH_PASS_Q = 38.13547087613982, 0.5003270373253953


def k_weighting(sample_rate: int) -> np.ndarray:
    """(2, 6): second-order sections of the K-weighting at this sample rate.

    The standard gives coefficients for 48 kHz only; designed there, these agree with them to 1e-12.
    """
    k = np.tan(np.pi * SHELF_HZ / sample_rate)
    gain = 10 ** (SHELF_DB / 20)
    middle = gain**0.4996667741545416
    a0 = 1 + k / SHELF_Q + k * k
    shelf = [
        (gain + middle * k / SHELF_Q + k * k) / a0, 2 * (k * k - gain) / a0,
        (gain - middle * k / SHELF_Q + k * k) / a0, 1.0, 2 * (k * k - 1) / a0,
        (1 - k / SHELF_Q + k * k) / a0,
    ]  # fmt: skip
    k = np.tan(np.pi * HIGH_PASS_HZ / sample_rate)
    a0 = 1 + k / HIGH_PASS_Q + k * k
    high = [1.0, -2.0, 1.0, 1.0, 2 * (k * k - 1) / a0, (1 - k / HIGH_PASS_Q + k * k) / a0]
    return np.array([shelf, high])


def weighted_power(samples: np.ndarray, *, sample_rate: int, step_s: float = STEP_S) -> np.ndarray:
    """(steps,) mean square of the K-weighted sound in each whole step of `step_s` seconds."""
    sections = k_weighting(sample_rate)
    state = np.zeros((len(sections), 2))
    step = round(step_s * sample_rate)
    block = step * 256
    powers = []
    for start in range(0, samples.size - step + 1, block):
        piece, state = scipy.signal.sosfilt(sections, samples[start : start + block].astype(float), zi=state)
        whole = piece[: piece.size // step * step].reshape(-1, step)
        powers.append(np.mean(whole * whole, axis=1))
    return np.concatenate(powers) if powers else np.zeros(0)


def momentary(powers: np.ndarray, steps: int = 4) -> np.ndarray:
    """(steps given - `steps` + 1,) loudness in LUFS of sliding blocks (400 ms for four steps of 100 ms)."""
    if powers.size < steps:
        return np.zeros(0)
    mean = np.convolve(powers, np.full(steps, 1 / steps), mode="valid")
    return OFFSET + 10 * np.log10(mean + 1e-15)


def integrated(samples: np.ndarray, *, sample_rate: int, channels: int = 1) -> float | None:
    """Gated loudness in LUFS of the whole; None when nothing passes the gate."""
    powers = weighted_power(samples, sample_rate=sample_rate) * channels
    if powers.size < 4:
        return None
    blocks = np.convolve(powers, np.full(4, 0.25), mode="valid")
    levels = OFFSET + 10 * np.log10(blocks + 1e-15)
    loud = blocks[levels > ABSOLUTE_GATE_LUFS]
    if not loud.size:
        return None
    gate = OFFSET + 10 * np.log10(loud.mean()) + RELATIVE_GATE_LU
    kept = blocks[(levels > gate) & (levels > ABSOLUTE_GATE_LUFS)]
    return float(OFFSET + 10 * np.log10(kept.mean())) if kept.size else None


def range_lu(powers: np.ndarray, *, step_s: float = STEP_S) -> float | None:
    """Loudness range in LU of weighted powers by EBU Tech 3342; None for less than a few seconds of sound.

    The spread from the 10th to the 95th percentile of the short-term loudness (3 s), gated at -70 LUFS and
    at 20 LU under the gated mean.
    """
    steps = round(SHORT_TERM_S / step_s)
    levels = momentary(powers, steps=steps)
    levels = levels[levels > ABSOLUTE_GATE_LUFS]
    if not levels.size:
        return None
    mean = 10 * np.log10(np.mean(10 ** (levels / 10)))
    levels = levels[levels > mean + RANGE_GATE_LU]
    return float(np.percentile(levels, 95) - np.percentile(levels, 10)) if levels.size >= steps else None


def true_peak_db(samples: np.ndarray) -> float | None:
    """Largest value between the samples in dBTP, by four times oversampling of the loudest places."""
    if not samples.size or not np.any(samples):
        return None
    top = 0.0
    block = 1 << 16
    largest = float(np.abs(samples).max())
    for start in range(0, samples.size, block):
        piece = samples[max(0, start - 64) : start + block + 64]
        # between samples the peak rises by a few dB at most: quiet blocks cannot hold it
        if np.abs(piece).max() > 0.5 * largest:
            top = max(top, float(np.abs(scipy.signal.resample_poly(piece, 4, 1)).max()))
    return float(20 * np.log10(max(top, 1e-9)))
