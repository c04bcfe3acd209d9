"""What a long recording sounds like, moment by moment, in memory that grows by a few bytes a pitch and frame.

The sound is taken in blocks: each is given the features a take is followed by and laid against every pitch
that may come; what is kept is only how well each pitch fits, how strongly it is attacked and whether
anything sounds. Nothing is raised but what `features.extract` raises.
"""

from dataclasses import dataclass

import numpy as np
import scipy.ndimage

from recordings.analysis.follow import observation
from recordings.analysis.sound import features, tuning

BLOCK_S, MARGIN_S = 60.0, 1.0
POOLED = 2  # frames of the features in one frame here: 46 ms
ATTACKS_WITHIN_S = 3.0
LOOKED_ON_S, GOES_ON_S, PAUSE_S = 6.0, 2.0, 0.4
# a pitch is held for `HELD_S` or more in 0.72 of 3 s of music or more (95 in 100), in 0.5 of talk (median)
HELD_S, STEADY_SHARE = 0.13, 0.6
LOWEST, HIGHEST = 24, 108  # MIDI; nothing outside is listened for


@dataclass(frozen=True, slots=True)
class Heard:
    """Frame i lies around `i * frame_s` seconds.

    fit: (pitches, frames) float16, at most 0 and 0 for the frame's best pitch, for `lowest`.. upwards.
    attack: (frames,) strength, about 0..1. quiet: (frames,) 0..1 how sure it is that no pitch sounds.
    """

    fit: np.ndarray
    lowest: int
    attack: np.ndarray
    quiet: np.ndarray
    frame_s: float


def hear(samples: np.ndarray, *, sample_rate: int, lowest: int, highest: int, window_midi: int) -> Heard:
    """Lay `samples`, (samples,) mono, against the MIDI pitches from `lowest` to `highest`.

    `window_midi`: the lowest pitch whose semitones are to be told apart.
    """
    lowest, highest = max(lowest, LOWEST), min(highest, HIGHEST)
    rough = tuning.rough_cents(samples, sample_rate=sample_rate)
    hop = POOLED * features.HOPS * round(features.FINE_HOP * sample_rate / features.GRID_RATE)
    block = int(BLOCK_S * sample_rate) // hop * hop
    margin = int(MARGIN_S * sample_rate) // hop * hop
    parts, bins = [], 1
    for first in range(0, samples.size - hop + 1, block):
        before = min(first, margin)
        sound = samples[first - before : first + block + margin]
        listened = features.extract(sound, sample_rate=sample_rate, lowest_midi=window_midi)
        raw = observation.singles(listened, lowest, highest, tuning_cents=rough)
        bins = listened.spectra.shape[1]
        kept = slice(before // hop, before // hop + min(block, samples.size - first) // hop)
        parts.append(_pooled(raw, listened, kept))
    if not parts:
        nothing = np.zeros(0, dtype=np.float32)
        return Heard(
            np.zeros((highest - lowest + 1, 0), np.float16), lowest, nothing, nothing, hop / sample_rate
        )
    fit, attack, level_db, top = (np.concatenate(several, axis=-1) for several in zip(*parts, strict=True))
    return Heard(fit, lowest, attack, _quiet(level_db, top, bins), hop / sample_rate)


def music_goes_on(heard: Heard, at_s: float, *, forwards: bool) -> bool:
    """Whether more of what sounds with steady pitches joins on at `at_s` without a pause."""
    at = min(max(round(at_s / heard.frame_s), 0), heard.quiet.size)
    reach = round(LOOKED_ON_S / heard.frame_s)
    part = slice(at, at + reach) if forwards else slice(max(at - reach, 0), at)
    quiet, best = heard.quiet[part] > 0.5, heard.fit[:, part].argmax(axis=0)
    if not forwards:
        quiet, best = quiet[::-1], best[::-1]
    pause = round(PAUSE_S / heard.frame_s)
    pauses = np.flatnonzero(np.convolve(quiet, np.ones(pause), mode="valid") >= pause)
    joined = int(pauses[0]) if pauses.size else quiet.size
    if joined * heard.frame_s < GOES_ON_S:
        return False
    edges = np.flatnonzero(np.diff(best[:joined], prepend=-1, append=-1))
    lengths = np.repeat(np.diff(edges), np.diff(edges))
    held = (lengths * heard.frame_s >= HELD_S) & ~quiet[:joined]
    return bool(held.mean() > STEADY_SHARE)


def _pooled(raw: np.ndarray, listened: features.Features, kept: slice) -> tuple[np.ndarray, ...]:
    """(fit, attack, level, raw fit of the best pitch) of the frames in `kept`, `POOLED` of them in one."""
    top = raw.max(axis=0)
    fit = np.clip(observation.FIT_WEIGHT * (raw - top), -observation.FIT_CAP, 0.0)
    return (
        _together(fit)[:, kept].mean(axis=-1).astype(np.float16),
        _together(_standing_out(listened.novelty))[kept].max(axis=-1),
        _together(listened.level_db)[kept].mean(axis=-1),
        _together(top)[kept].mean(axis=-1),
    )


def _standing_out(novelty: np.ndarray) -> np.ndarray:
    """Attacks against the strongest around them: a bow's are soft beside those of talk."""
    reach = round(ATTACKS_WITHIN_S / (features.HOPS * features.FINE_HOP / features.GRID_RATE))
    around = scipy.ndimage.maximum_filter1d(novelty, reach)
    return novelty / np.maximum(scipy.ndimage.uniform_filter1d(around, reach), 0.02)


def _together(rows: np.ndarray) -> np.ndarray:
    """(..., frames) as (..., frames // POOLED, POOLED)."""
    whole = rows.shape[-1] // POOLED * POOLED
    return rows[..., :whole].reshape(*rows.shape[:-1], -1, POOLED)


def _quiet(level_db: np.ndarray, top: np.ndarray, bins: int) -> np.ndarray:
    """As `observation.silence` tells it, with the level held against that of the whole recording."""
    empty = np.zeros(0, dtype=np.float32)
    view = features.Features(0, 0, 0.0, np.zeros((0, bins)), level_db, empty, empty, empty)
    return observation.silence(view, top)
