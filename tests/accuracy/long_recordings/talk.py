"""An hour's talk by espeak-ng: invented sentences of a lesson, in several voices."""

import shutil
import subprocess
import tempfile
from pathlib import Path

import numpy as np
import scipy.signal
import soundfile

from recordings.analysis.recording.decode import SAMPLE_RATE

VOICES = ("en", "en-us", "en-gb-scotland", "en+f2", "en+m3", "en-us+f4", "en+f5", "en-us+m7")
WHO = ("you", "we", "most people", "the left hand", "your breath", "the bow", "this phrase", "that bar")
DOES = ("should lead", "comes too early", "wants more room", "sounds lovely now", "gets stuck", "may sing",
        "runs away a little", "needs a clear beginning", "could be half as loud")  # fmt: skip
WHERE = ("before the high note", "at the end of the line", "when the key changes", "in the second ending",
         "just after the rest", "as if somebody were dancing", "for the first three beats")  # fmt: skip
ASIDES = (
    "Good.", "Once more, please.", "Can you hear the difference?", "No, slower.", "One, two, three, four.",
    "Let us look at the fingering.", "Did you practise that at home?", "Ah, that is much better!",
    "Where were we?", "Take a sip of water first.", "Sing it for me. La, la, la, la.", "Hm, I wonder.",
)  # fmt: skip
PAUSE_S = (0.2, 2.5)


def can_speak() -> bool:
    return shutil.which("espeak-ng") is not None


def talk(seconds: float, rng: np.random.Generator) -> np.ndarray:
    """Two people in turn for at least `seconds`, mono float32 at the analysis's rate."""
    voices = rng.choice(VOICES, 2, replace=False)
    parts: list[np.ndarray] = []
    length = 0
    while length < seconds * SAMPLE_RATE:
        voice = str(voices[len(parts) // 2 % 2])
        spoken = _spoken(" ".join(_sentence(rng) for _ in range(int(rng.integers(2, 9)))), voice, rng)
        pause = np.zeros(int(rng.uniform(*PAUSE_S) * SAMPLE_RATE), dtype=np.float32)
        parts += [spoken * 10 ** (rng.uniform(-8, 0) / 20), pause]
        length += spoken.size + pause.size
    return np.concatenate(parts)


def _sentence(rng: np.random.Generator) -> str:
    if rng.random() < 0.35:
        return str(rng.choice(ASIDES))
    return f"{rng.choice(WHO)} {rng.choice(DOES)} {rng.choice(WHERE)}.".capitalize()


def _spoken(words: str, voice: str, rng: np.random.Generator) -> np.ndarray:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "voice.wav"
        pitch, speed = int(rng.integers(15, 90)), int(rng.integers(120, 200))
        command = ["espeak-ng", "-v", voice, "-p", str(pitch), "-s", str(speed), "-w", str(path), words]
        subprocess.run(command, check=True, timeout=60)
        samples, rate = soundfile.read(path, dtype="float32")
    common = np.gcd(rate, SAMPLE_RATE)
    spoken = scipy.signal.resample_poly(samples, SAMPLE_RATE // common, rate // common)
    return (0.25 * spoken / np.abs(spoken).max()).astype(np.float32)
