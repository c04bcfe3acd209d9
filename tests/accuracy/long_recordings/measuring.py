"""The search through one long recording in a process of its own: stretches, CPU seconds, peak memory."""

import json
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import soundfile

from recordings.analysis.recording.decode import SAMPLE_RATE, decode
from recordings.analysis.stretches.find import find_music
from recordings.analysis.stretches.pieces import Piece
from repertoire.notation.bounded_child import peak_mb
from repertoire.notation.read import reading

from .material import Hour
from .scoring import Told

ROOT = Path(__file__).resolve().parents[3]
LONGEST_S = 4 * 3600.0
WARMING_S = 2


@dataclass(frozen=True, slots=True)
class Measured:
    """`cpu_s` from the file to the stretches, after numba has compiled; `peak_mb` with everything loaded."""

    told: tuple[Told, ...]
    sound_s: float
    cpu_s: float
    peak_mb: float


def measure(hour: Hour) -> Measured:
    """Raises RuntimeError with the child's last words when it ends badly."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "hour.flac"
        soundfile.write(path, hour.samples, SAMPLE_RATE)
        names = []
        for number, music in enumerate(hour.pieces):
            (Path(folder) / f"{number}{music.suffix}").write_bytes(music.file)
            names.append([music.name, f"{number}{music.suffix}"])
        done = subprocess.run(
            [sys.executable, "-m", __spec__.name, folder], input=json.dumps(names),
            capture_output=True, text=True, cwd=ROOT, check=False,
        )  # fmt: skip
    if done.returncode:
        raise RuntimeError(f"ended with {done.returncode}: {done.stderr[-1500:]}")
    answer = json.loads(done.stdout.splitlines()[-1])
    told = tuple(
        Told(piece, tuple((first, last) for first, last in runs), *rest)
        for piece, runs, *rest in answer["told"]
    )
    return Measured(told, hour.samples.size / SAMPLE_RATE, answer["cpu_s"], answer["peak_mb"])


def _main(folder: Path) -> None:
    pieces = [
        Piece(name, reading.read_score((folder / file).read_bytes(), filename=file).score)
        for name, file in json.loads(sys.stdin.read())
    ]
    warming = decode(folder / "hour.flac", max_seconds=LONGEST_S).samples[: WARMING_S * SAMPLE_RATE].copy()
    find_music(warming, pieces, sample_rate=SAMPLE_RATE)
    begun = time.process_time()
    samples = decode(folder / "hour.flac", max_seconds=LONGEST_S).samples
    found = find_music(samples, pieces, sample_rate=SAMPLE_RATE)
    cpu_s = time.process_time() - begun
    told = [
        (s.piece, [(r.first_bar, r.last_bar) for r in s.runs], s.start_s, s.end_s, s.confidence)
        for s in found
    ]
    print(json.dumps({"told": told, "cpu_s": cpu_s, "peak_mb": peak_mb()}))


if __name__ == "__main__":
    _main(Path(sys.argv[1]))
