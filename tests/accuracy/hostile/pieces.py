"""Short pieces of demo takes with the printed bars they play, and sounds that are no music at all."""

import json
import shutil
import subprocess
import wave
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from fixtures.sounds import truth as known
from fixtures.sounds.takes import TAKES
from recordings.analysis.recording.decode import SAMPLE_RATE, decode
from repertoire.notation.order import forms
from repertoire.notation.score import Form

LEAST_S = 8.0  # of music in a piece
PIECES = (
    "violin_clean", "flute_clean", "cello_clean", "clarinet_clean_at_443", "horn_clean",
    "double_bass_clean", "violin_scale_clean", "flute_scale_clean",
)  # fmt: skip
SPOKEN = (
    "Good afternoon. My name is on the sheet, and I will play the first study from the beginning.",
    "Wait, is it recording? I think it is. All right. Bars one to eight, then the repeat. Here we go.",
    "Please stand a little nearer to the window. No, the other one. Can you hear me now? One, two, three.",
)


@dataclass(frozen=True)
class Piece:
    """The first bars of a demo take: mono float32 at the analysis's rate, and what is printed there."""

    name: str
    samples: np.ndarray
    musicxml: str
    bars: tuple[str, str]
    form: Form
    marked_bpm: float
    beat_unit_q: float


@cache
def piece(name: str) -> Piece:
    """Whole bars from the take's beginning, at least `LEAST_S` seconds of them."""
    take = next(t for t in TAKES if t.name == name)
    music = known.printed(take)
    reported = json.loads((known.TRUTH_FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    begun = reported["bars"][0][1]
    count = min(sum(bar[2] - begun < LEAST_S for bar in reported["bars"]) + 1, len(reported["bars"]))
    audio = decode(next(known.TAKES_FOLDER.glob(f"{name}.*")))
    bars = (reported["bars_played"][0], reported["bars_played"][count - 1])
    form = forms.play(music.canonical.score, with_repeats=False, bars=bars)
    samples = audio.samples[: int((reported["bars"][count - 1][2] + 0.1) * SAMPLE_RATE)].copy()
    samples[-2000:] *= np.linspace(1, 0, 2000, dtype=np.float32)
    return Piece(name, samples, music.canonical.musicxml, bars, form, music.marked_bpm, music.beat_unit_q)


def can_speak() -> bool:
    return shutil.which("espeak-ng") is not None


def speech(folder: Path, rng: np.random.Generator) -> np.ndarray:
    """A voice of espeak-ng, mono float32 at the analysis's rate."""
    path = folder / "voice.wav"
    pitch, speed = int(rng.integers(10, 95)), int(rng.integers(110, 220))
    words = SPOKEN[rng.integers(len(SPOKEN))]
    subprocess.run(
        ["espeak-ng", "-p", str(pitch), "-s", str(speed), "-w", str(path), words], check=True, timeout=30
    )
    with wave.open(str(path)) as file:
        rate, frames = file.getframerate(), file.readframes(file.getnframes())
    voice = np.frombuffer(frames, dtype=np.int16).astype(np.float32) / 32768
    return resampled(voice, SAMPLE_RATE / rate)


def resampled(samples: np.ndarray, factor: float) -> np.ndarray:
    """`factor` times as many samples, by straight lines between them: lower and slower at the same rate."""
    at = np.arange(int(samples.size * factor)) / factor
    return np.interp(at, np.arange(samples.size), samples).astype(np.float32)


def pink(size: int, rng: np.random.Generator) -> np.ndarray:
    """Noise with equal power in each octave, peak 0.3."""
    spectrum = np.fft.rfft(rng.standard_normal(size))
    spectrum[1:] /= np.sqrt(np.arange(1, spectrum.size))
    noise = np.fft.irfft(spectrum, size)
    return (0.3 * noise / np.abs(noise).max()).astype(np.float32)
