"""Debian's fluidsynth (package `fluidsynth`) with its soundfont (package `fluid-soundfont-gm`)."""

import shutil
import subprocess
import tempfile
from pathlib import Path

import numpy as np
import soundfile

from .midi import MidiNote, midi_file

SAMPLE_RATE = 44_100
SOUNDFONTS = (
    Path("/usr/share/sounds/sf2/FluidR3_GM.sf2"),
    Path("/usr/share/soundfonts/FluidR3_GM.sf2"),
)
GAIN = 0.6
TAIL_S = 1.0
SECONDS_ALLOWED = 300


def missing() -> str | None:
    """Why nothing can be rendered here, in one sentence; None where it can."""
    if shutil.which("fluidsynth") is None:
        return "fluidsynth was not found (Debian and Ubuntu: apt install fluidsynth fluid-soundfont-gm)"
    if soundfont() is None:
        return (
            "The soundfont FluidR3_GM.sf2 was not found (Debian and Ubuntu: apt install fluid-soundfont-gm)"
        )
    return None


def soundfont() -> Path | None:
    return next((path for path in SOUNDFONTS if path.exists()), None)


def render(notes: list[MidiNote], *, program: int) -> np.ndarray:
    """Mono float64 samples at 44.1 kHz, without the synthesiser's own reverb and chorus.

    Raises `subprocess.CalledProcessError` when fluidsynth fails.
    """
    end_s = max(note.offset_s for note in notes) + TAIL_S
    with tempfile.TemporaryDirectory() as folder:
        score, sound = Path(folder) / "take.mid", Path(folder) / "take.wav"
        score.write_bytes(midi_file(notes, program=program, end_s=end_s))
        command = ["fluidsynth", "-ni", "-q", "-R", "0", "-C", "0", "-g", str(GAIN), "-r", str(SAMPLE_RATE)]
        command += ["-O", "float", "-T", "wav", "-F", str(sound), str(soundfont()), str(score)]
        subprocess.run(command, check=True, capture_output=True, timeout=SECONDS_ALLOWED)
        samples, _rate = soundfile.read(sound, dtype="float64", always_2d=True)
    return samples.mean(axis=1)[: round(end_s * SAMPLE_RATE)]
