"""The kinds of hostile takes: how each is made from a piece, and what may honestly be said of it.

A maker gets a folder, a generator and a piece and leaves one file. Expectations:
REFUSED a plain sentence and no document; OTHER a document that says it is not this piece (or a refusal);
PIECE a document that knows the piece; ANY of these.
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from recordings.analysis.recording.decode import SAMPLE_RATE

from . import files, pieces
from .pieces import PIECES, Piece

REFUSED, OTHER, PIECE, ANY = "refused", "other", "piece", "any"
Maker = Callable[[Path, np.random.Generator, Piece], Path]


@dataclass(frozen=True)
class Kind:
    name: str
    expected: str
    make: Maker
    check: str = ""  # the recording check that must not say "fine"


KINDS: dict[str, Kind] = {}


def kind(expected: str, check: str = "") -> Callable[[Maker], Maker]:
    def keep(make: Maker) -> Maker:
        name = make.__name__.replace("_", " ")
        KINDS[name] = Kind(name, expected, make, check)
        return make

    return keep


def _suffix(rng: np.random.Generator, *choices: str) -> str:
    return choices[rng.integers(len(choices))]


def _plain(folder: Path, samples: np.ndarray) -> Path:
    return files.write(folder / "take.flac", np.clip(samples, -1, 1))


# broken files


@kind(REFUSED)
def garbage(folder, rng, piece):
    path = folder / f"take.{_suffix(rng, 'mp3', 'wav', 'm4a', 'webm', 'flac')}"
    path.write_bytes(rng.bytes(int(rng.integers(1, 200_000))))
    return path


@kind(REFUSED)
def empty(folder, rng, piece):
    path = folder / f"take.{_suffix(rng, 'mp3', 'wav', 'm4a', 'webm')}"
    path.write_bytes(b"")
    return path


@kind(REFUSED)
def text_or_picture(folder, rng, piece):
    path = folder / "take.mp3"
    bodies = (
        b"<html><body>Sign in to the network</body></html>",
        files.png(64),
        b"#EXTM3U\nhttp://127.0.0.1/a.ts\n",
    )
    path.write_bytes(bodies[rng.integers(3)])
    return path


@kind(ANY)
def truncated(folder, rng, piece):
    path = files.write(folder / f"take.{_suffix(rng, 'mp3', 'flac', 'wav', 'webm', 'ogg')}", piece.samples)
    return files.truncated(path, float(rng.uniform(0.02, 0.95)))


@kind(REFUSED)
def truncated_m4a(folder, rng, piece):
    return files.truncated(files.write(folder / "take.m4a", piece.samples), float(rng.uniform(0.1, 0.95)))


@kind(ANY)
def scrambled(folder, rng, piece):
    path = files.write(
        folder / f"take.{_suffix(rng, 'mp3', 'flac', 'm4a', 'webm', 'ogg', 'wav')}", piece.samples
    )
    return files.scrambled(path, rng, places=int(rng.integers(1, 12)), length=int(rng.integers(4, 400)))


@kind(ANY)
def header_lies(folder, rng, piece):
    factor = float(rng.choice([0.1, 0.5, 3.0, 50.0]))
    if rng.integers(2):
        return files.lying_wav(files.write(folder / "take.wav", piece.samples), factor)
    return files.lying_flac(files.write(folder / "take.flac", piece.samples), factor)


@kind(REFUSED)
def film_without_sound(folder, rng, piece):
    return files.write_silent_film(folder / f"take.{_suffix(rng, 'mov', 'mkv')}", float(rng.uniform(1, 6)))


@kind(REFUSED)
def longer_than_an_hour(folder, rng, piece):
    still = np.zeros(int(rng.uniform(61, 90) * 60 * 8000), dtype=np.float32)
    still[:80_000] = 0.1 * rng.standard_normal(80_000)
    return files.write(folder / "take.flac", still, rate=8000)


# sound that is not this piece


@kind(OTHER, "level")
def silence(folder, rng, piece):
    return _plain(folder, np.zeros(int(rng.uniform(0.5, 12) * SAMPLE_RATE), dtype=np.float32))


@kind(OTHER)
def white_noise(folder, rng, piece):
    level = 10 ** rng.uniform(-3.5, -0.7)
    return _plain(
        folder, (level * rng.standard_normal(int(rng.uniform(2, 12) * SAMPLE_RATE))).astype(np.float32)
    )


@kind(OTHER)
def pink_noise(folder, rng, piece):
    return _plain(folder, pieces.pink(int(rng.uniform(2, 12) * SAMPLE_RATE), rng))


@kind(OTHER)
def speech(folder, rng, piece):
    return _plain(folder, pieces.speech(folder, rng))


@kind(OTHER)
def another_piece(folder, rng, piece):
    others = [name for name in PIECES if name.split("_")[0] != piece.name.split("_")[0]]
    return _plain(folder, pieces.piece(others[rng.integers(len(others))]).samples)


@kind(OTHER)
def scale_instead_of_etude(folder, rng, piece):
    own = piece.name.split("_")[0]
    swap = {"violin": "violin_scale_clean", "flute": "flute_scale_clean"}
    name = swap.get(own, "violin_scale_clean")
    return _plain(folder, pieces.piece(f"{own}_clean" if "scale" in piece.name else name).samples)


@kind(OTHER)
def backwards(folder, rng, piece):
    """An etude from its end; a scale up and down would read the same."""
    etude = pieces.piece(piece.name.replace("_scale", ""))
    return _plain(folder, etude.samples[::-1].copy())


@kind(OTHER)
def constant(folder, rng, piece):
    return _plain(folder, np.full(int(rng.uniform(1, 9) * SAMPLE_RATE), rng.uniform(-1, 1), dtype=np.float32))


@kind(OTHER)
def single_click(folder, rng, piece):
    samples = np.zeros(int(rng.uniform(1, 9) * SAMPLE_RATE), dtype=np.float32)
    samples[rng.integers(samples.size)] = 1.0
    return _plain(folder, samples)


@kind(OTHER)
def one_held_tone(folder, rng, piece):
    at = np.arange(int(rng.uniform(4, 12) * SAMPLE_RATE)) / SAMPLE_RATE
    wave = np.sin(2 * np.pi * rng.uniform(120, 900) * at)
    return _plain(
        folder, np.sign(wave).astype(np.float32) if rng.integers(2) else (0.5 * wave).astype(np.float32)
    )


@kind(ANY)
def one_second(folder, rng, piece):
    start = rng.integers(0, piece.samples.size - SAMPLE_RATE)
    return _plain(folder, piece.samples[start : start + int(rng.uniform(0.01, 1.0) * SAMPLE_RATE)])


# the piece, strangely recorded


@kind(PIECE)
def eight_kilohertz(folder, rng, piece):
    return files.write(folder / "take.wav", pieces.resampled(piece.samples, 8000 / SAMPLE_RATE), rate=8000)


@kind(PIECE)
def much_too_fine(folder, rng, piece):
    return files.write(
        folder / "take.wav", pieces.resampled(piece.samples, 192000 / SAMPLE_RATE), rate=192000
    )


@kind(PIECE)
def eight_channels(folder, rng, piece):
    rows = np.zeros((8, piece.samples.size), dtype=np.float32)
    rows[rng.choice([0, 1, 2, 4, 5])] = piece.samples
    return files.write(folder / "take.flac", rows)


@kind(PIECE)
def one_channel_inverted(folder, rng, piece):
    """A cable with its poles swapped: the mean of both channels is silence."""
    return files.write(folder / "take.flac", np.stack([piece.samples, -piece.samples]))


@kind(PIECE)
def inverted(folder, rng, piece):
    return _plain(folder, -piece.samples)


@kind(PIECE)
def constant_offset(folder, rng, piece):
    return _plain(folder, 0.6 * piece.samples + float(rng.uniform(-0.4, 0.4)))


@kind(PIECE, "whole")
def not_numbers(folder, rng, piece):
    samples = piece.samples.copy()
    for _ in range(int(rng.integers(1, 6))):
        start = rng.integers(samples.size - 400)
        samples[start : start + rng.integers(1, 400)] = rng.choice([np.nan, np.inf, -np.inf, 3e38])
    return files.float_wav(folder / "take.wav", samples)


@kind(PIECE, "clipping")
def overdriven(folder, rng, piece):
    loud = np.abs(piece.samples).max()
    return _plain(folder, np.clip(piece.samples / loud * rng.uniform(6, 60), -1, 1).astype(np.float32))


@kind(ANY, "level")
def very_quiet(folder, rng, piece):
    return files.write(folder / "take.flac", piece.samples * 10 ** rng.uniform(-3.2, -2.6))


@kind(PIECE)
def half_silent(folder, rng, piece):
    still = np.zeros(int(rng.uniform(5, 20) * SAMPLE_RATE), dtype=np.float32)
    return _plain(
        folder, np.concatenate([still, piece.samples] if rng.integers(2) else [piece.samples, still])
    )


@kind(PIECE)
def film_with_sound(folder, rng, piece):
    return files.write(folder / f"take.{_suffix(rng, 'mov', 'mkv')}", piece.samples, video=True)


@kind(PIECE)
def mp3_with_cover(folder, rng, piece):
    return files.with_cover(files.write(folder / "take.mp3", piece.samples))


@kind(ANY)
def wrong_range(folder, rng, piece):
    """An octave or a twelfth away, faster or slower with it, as from a tape at another speed."""
    return _plain(folder, pieces.resampled(piece.samples, float(rng.choice([0.5, 2.0, 1 / 3, 3.0]))))
