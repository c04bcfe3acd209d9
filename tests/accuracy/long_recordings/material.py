"""A made hour: two people talk, twelve stretches of three pieces are played between, and other music too."""

from dataclasses import dataclass, replace

import numpy as np
import scipy.signal

from recordings.analysis.recording.decode import SAMPLE_RATE
from tests.accuracy.bench.etudes import ETUDES
from tests.accuracy.bench.instruments import PLAYERS, Player

from . import talk
from .playing import Music, Stretch, etude, play

# the limits were set on the first, the second were kept for measuring
KNOWN_PLAYERS = (PLAYERS["violin"], PLAYERS["clarinet"], PLAYERS["horn"])
FRESH_PLAYERS = (
    PLAYERS["cello"], PLAYERS["flute"], PLAYERS["oboe"], PLAYERS["trumpet"],
    Player("viola", 41, 48, 84, 55, 15.0), Player("bassoon", 70, 36, 70, 43, 0.0),
    Player("saxophone", 65, 50, 80, 55, 8.0), Player("guitar", 24, 40, 76, 48, 0.0),
)  # fmt: skip
KINDS = ("plain",) * 5 + ("slow",) * 2 + ("wrong note",) * 2 + ("new start",) * 2 + ("other octave",)
OTHER_MUSIC = 8
SLOW_PACE, USUAL_PACE = (0.45, 0.55), (0.7, 1.15)
FIRST_FRESH_SEED = 100
NOISE_DB = (-68.0, -56.0)
REVERB_S, REVERB_BELOW_DB = 0.4, 9.0


@dataclass(frozen=True, slots=True)
class Hour:
    """`samples` at the analysis's rate; `played` in order; `other`: (start, end) in s of music not listed."""

    samples: np.ndarray
    pieces: tuple[Music, ...]
    played: tuple[Stretch, ...]
    other: tuple[tuple[float, float], ...]


def make(seed: int, *, minutes: float = 60.0) -> Hour:
    """The same seed gives the same hour; from `FIRST_FRESH_SEED` on with the players kept for measuring."""
    rng = np.random.default_rng([seed, 77])
    players = FRESH_PLAYERS if seed >= FIRST_FRESH_SEED else KNOWN_PLAYERS
    chosen = rng.choice(len(players), 3, replace=False)
    kinds = rng.permutation(list(ETUDES))
    pieces = tuple(etude(str(kinds[i]), players[chosen[i]], rng) for i in range(3))
    return _put_together(pieces, _sounds(pieces, kinds, players, rng), rng, minutes)


def _sounds(
    pieces: tuple[Music, ...], kinds: np.ndarray, players: tuple[Player, ...], rng: np.random.Generator
) -> list[tuple[np.ndarray, Stretch | None]]:
    sounds: list[tuple[np.ndarray, Stretch | None]] = []
    for number, kind in enumerate(rng.permutation(KINDS)):
        music = pieces[number % 3]
        pace = float(rng.uniform(*(SLOW_PACE if kind == "slow" else USUAL_PACE)))
        shift, program = 0, None
        if kind == "other octave":
            shift = -12 if music.player.lowest > 50 else 12
            program = 42 if shift < 0 else 73
        sounds.append(play(music, rng, kind=str(kind), pace=pace, program=program, shift=shift))
    for number in range(OTHER_MUSIC):
        # half of it the same kind of etude for the same player as a listed piece, with other notes
        music = pieces[number % 3]
        kind = str(kinds[number % 3 if number % 2 else 3 + number % 3])
        player = music.player if number % 2 else players[int(rng.integers(len(players)))]
        sound, _truth = play(
            etude(kind, player, rng), rng, kind="plain", pace=float(rng.uniform(*USUAL_PACE))
        )
        sounds.append((sound, None))
    return [sounds[i] for i in rng.permutation(len(sounds))]


def _put_together(
    pieces: tuple[Music, ...],
    sounds: list[tuple[np.ndarray, Stretch | None]],
    rng: np.random.Generator,
    minutes: float,
) -> Hour:
    music_s = sum(sound.size for sound, _truth in sounds) / SAMPLE_RATE
    spoken_s = max(minutes * 60.0 - music_s, 4.0 * (len(sounds) + 1)) / (len(sounds) + 1)
    parts, played, other, length = [], [], [], 0
    for sound, truth in [*sounds, (np.zeros(0, np.float32), None)]:
        spoken = talk.talk(spoken_s * float(rng.uniform(0.5, 1.4)), rng)
        sound = sound * 10 ** (rng.uniform(-12, 0) / 20)
        begins_s = (length + spoken.size) / SAMPLE_RATE
        if truth:
            played.append(replace(truth, start_s=begins_s + truth.start_s, end_s=begins_s + truth.end_s))
        elif sound.size:
            other.append((begins_s, begins_s + sound.size / SAMPLE_RATE))
        parts += [spoken, sound.astype(np.float32)]
        length += spoken.size + sound.size
    return Hour(_in_a_room(np.concatenate(parts), rng), pieces, tuple(played), tuple(other))


def _in_a_room(samples: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    seconds = np.arange(round(REVERB_S * SAMPLE_RATE)) / SAMPLE_RATE
    tail = rng.standard_normal(seconds.size) * 10 ** (-3 * seconds / REVERB_S)
    tail *= 10 ** (-REVERB_BELOW_DB / 20) / np.sqrt(np.sum(tail**2))
    tail[0] = 1.0
    sounded = scipy.signal.oaconvolve(samples, tail.astype(np.float32))[: samples.size]
    noise = rng.standard_normal(samples.size, dtype=np.float32) * 10 ** (rng.uniform(*NOISE_DB) / 20)
    return (sounded + noise).astype(np.float32)
