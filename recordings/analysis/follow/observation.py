"""How well each frame of the sound fits each pitch or chord of the score.

A pitch is a comb of harmonics with the width the window and a little vibrato give it. The fit is
the cross-entropy between the frame's spectrum and the comb, both summing to one: a comb an octave
low spreads itself over empty places, one an octave high leaves half the sound unexplained, so
neither is mistaken for the pitch itself. Fits are given against the best pitch of the same frame.

Arrays are `(pitches, frames)` or `(events, frames)` on the alignment's grid, log-likelihoods in nats. The
comb of harmonics is a fixed template as in harmonic-template score following (for example C. Joder, S. Essid
and G. Richard, "Learning optimal features for polyphonic audio-to-score alignment", IEEE TASLP 21, 2013, from
memory). Nothing is raised.
"""

from dataclasses import dataclass
from functools import lru_cache

import librosa
import numpy as np

from recordings.analysis.sound.features import Features

HARMONICS = 24
ROLL_OFF = 0.86  # each harmonic against the one below, after the square root of the spectrum
SPREAD_CENTS = 35.0  # room for vibrato and for a pitch that is off
FLOOR_SHARE = 0.12  # share of a comb's weight spread evenly: what noise may take without penalty
MARGIN_SEMITONES = 13  # pitches beyond the score's range that may be heard instead
SILENCE_BELOW_REFERENCE_DB = 34.0  # under the take's loud level: nobody plays
FIT_WEIGHT = 2.2  # frames overlap four times, so one frame counts for less than its cross-entropy
NOISE_FIT = -0.55  # best fit of any pitch in white noise, above an even spectrum's; measured, spread 0.1
FIT_CAP = 6.0  # no single frame may decide


@dataclass(frozen=True, slots=True)
class Observations:
    """Log-likelihoods per frame, relative to the frame's best pitch (so 0 is a perfect fit).

    fit: (columns, frames) for the sets given; single: (pitches, frames) for `lowest`.. upwards;
    silent: (frames,) 0..1 how sure it is that nobody plays; best: (frames,) MIDI of the best pitch.
    """

    fit: np.ndarray
    single: np.ndarray
    lowest: int
    silent: np.ndarray
    best: np.ndarray


@lru_cache(maxsize=512)
def comb(hz: float, bin_hz: float, bins: int, window_bins: float = 1.2) -> np.ndarray:
    """The expected spectrum of one pitch, (bins,), summing to 1; all 0 for a pitch above the last bin.

    It is kept and shared: nobody writes into it.

    `hz` is the fundamental, `bin_hz` the width of a bin, `window_bins` how far the window spreads a harmonic.
    """
    centres = np.arange(bins) * bin_hz
    total = np.zeros(bins)
    for number in range(1, HARMONICS + 1):
        at = number * hz
        if at > centres[-1]:
            break
        width = np.hypot(window_bins * bin_hz, at * (2 ** (SPREAD_CENTS / 1200) - 1))
        shape = np.exp(-0.5 * ((centres - at) / width) ** 2)
        total += ROLL_OFF ** (number - 1) * shape / max(shape.sum(), 1e-9)
    return total / max(total.sum(), 1e-9)


def midi_hz(midi: float, tuning_cents: float) -> float:
    """Hz of a MIDI pitch (69: A) where A lies `tuning_cents` above 440 Hz."""
    return float(librosa.midi_to_hz(midi + tuning_cents / 100))


def singles(features: Features, lowest: int, highest: int, *, tuning_cents: float) -> np.ndarray:
    """Raw cross-entropy (pitches, frames) of every semitone from `lowest` to `highest`."""
    bins = features.spectra.shape[1]
    combs = np.stack(
        [comb(midi_hz(m, tuning_cents), features.bin_hz, bins) for m in range(lowest, highest + 1)]
    )
    return _entropy(features.spectra, combs)


def observe(
    features: Features,
    sets: list[tuple[int, ...]],
    *,
    tuning_cents: float,
    shift: int = 0,
    plain: int | None = None,
) -> Observations:
    """Fits of each pitch set (MIDI, as printed; heard `shift` semitones higher) with every frame.

    Only the first `plain` sets (None: all) are held against the frame's best: one that also takes in what
    still rings fits a little better anywhere.
    """
    pitches = [m for group in sets for m in group]
    lowest = max(min(pitches) + shift - MARGIN_SEMITONES, 12)
    highest = min(max(pitches) + shift + MARGIN_SEMITONES, 110)
    bins = features.spectra.shape[1]
    combs = {m: comb(midi_hz(m, tuning_cents), features.bin_hz, bins) for m in range(lowest, highest + 1)}
    raw_single = _entropy(features.spectra, np.stack(list(combs.values())))
    chords = [tuple(m + shift for m in group) for group in sets]
    raw = np.empty((len(sets), len(features.spectra)), dtype=np.float32)
    mixed = [i for i, group in enumerate(chords) if len(group) > 1]
    if mixed:
        raw[mixed] = _entropy(
            features.spectra, np.stack([np.mean([combs[m] for m in chords[i]], axis=0) for i in mixed])
        )
    for i, group in enumerate(chords):
        if len(group) == 1:
            raw[i] = raw_single[group[0] - lowest]
    top = np.maximum(raw_single.max(axis=0), raw[:plain].max(axis=0))
    silent = silence(features, raw_single.max(axis=0))
    fit = np.clip(FIT_WEIGHT * (raw - top), -FIT_CAP, 0.0)
    single = np.clip(FIT_WEIGHT * (raw_single - top), -FIT_CAP, 0.0)
    best = (lowest + raw_single.argmax(axis=0)).astype(np.int16)
    return Observations(fit, single, lowest, silent, best)


def best_of(spectra: np.ndarray, bin_hz: float, sets: set[tuple[int, ...]], *, tuning_cents: float) -> float:
    """Mean raw cross-entropy over (frames, bins) `spectra`, in each frame with the best of the pitch sets.

    `sets`: MIDI numbers as heard, at least one set. In nats.
    """
    bins = spectra.shape[1]
    combs = [
        np.mean([comb(midi_hz(m, tuning_cents), bin_hz, bins) for m in together], axis=0) for together in sets
    ]
    return float(_entropy(spectra, np.stack(combs)).max(axis=0).mean())


def _entropy(spectra: np.ndarray, combs: np.ndarray) -> np.ndarray:
    mixture = (1 - FLOOR_SHARE) * combs + FLOOR_SHARE / combs.shape[1]
    weights = np.log(mixture).astype(np.float32).T
    result = np.empty((len(combs), len(spectra)), dtype=np.float32)
    for first in range(0, len(spectra), 4096):
        block = spectra[first : first + 4096].astype(np.float32)
        result[:, first : first + len(block)] = (block @ weights).T
    return result


def silence(features: Features, fit: np.ndarray) -> np.ndarray:
    """(frames,) from 0 to 1: too quiet against the take's own loud level, or no pitch in it at all.

    `fit`: (frames,) raw cross-entropy of each frame's best pitch, in nats.
    """
    level = features.level_db
    if not level.size:
        return np.zeros(0, dtype=np.float32)
    loud = float(np.percentile(level, 90))
    threshold = max(loud - SILENCE_BELOW_REFERENCE_DB, -75.0)
    by_level = 1 / (1 + np.exp(np.clip((level - threshold) / 1.5, -30, 30)))
    # a soft note in a noisy room lies near the noise's level, but it has a pitch and the noise has none
    noise = NOISE_FIT - float(np.log(features.spectra.shape[1]))
    voiced = fit[level > threshold]
    usual = float(np.median(voiced)) if voiced.size else 0.0
    unpitched = noise + min(0.25 * (usual - noise), 0.3)
    by_pitch = 1 / (1 + np.exp(np.clip((fit - unpitched) / 0.05, -30, 30)))
    return np.maximum(by_level, by_pitch).astype(np.float32)
