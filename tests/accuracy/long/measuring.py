"""Seconds of work and peak memory of one analysis, each in a process of its own after `warm_up`."""

import json
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

from recordings.analysis.analyse import AnalysisSettings, analyse, warm_up
from recordings.analysis.document.contract import CaptionSpec
from recordings.analysis.recording.decode import decode
from repertoire.notation.bounded_child import peak_mb
from repertoire.notation.order import forms
from repertoire.notation.read import reading
from tests.accuracy.long.material import LongTake
from tests.accuracy.wording import in_words

ROOT = Path(__file__).resolve().parents[3]
CAPTIONS = tuple(CaptionSpec(k, k, 0.0, 20.0, 0.5) for k in ("intonation", "rhythm", "tempo", "accuracy"))


@dataclass(frozen=True)
class Figures:
    """CPU seconds of the whole analysis (decoding to JSON), of each stage, peak MB and what came out."""

    audio_s: float
    cpu_s: float
    start_mb: float  # resident after imports and warm-up
    peak_mb: float
    stages: dict[str, float]
    printed_notes: int
    share_played: float
    first_finding: str


def measure(take: LongTake) -> Figures:
    """Run one take in a fresh process; raises RuntimeError with its last words when it ends badly."""
    job = {
        "path": str(take.path),
        "musicxml": take.musicxml,
        "bpm": take.marked_bpm,
        "unit": take.beat_unit_q,
    }
    done = subprocess.run(
        [sys.executable, "-m", "tests.accuracy.long.measuring"], input=json.dumps(job),
        capture_output=True, text=True, cwd=ROOT, check=False,
    )  # fmt: skip
    if done.returncode:
        raise RuntimeError(f"ended with {done.returncode}: {done.stderr[-1500:]}")
    return Figures(**json.loads(done.stdout.splitlines()[-1]))


def _main() -> None:
    job = json.loads(sys.stdin.read())
    warm_up()
    start_mb, begun = peak_mb(), time.process_time()
    marks = [("decode", begun)]
    audio = decode(job["path"])
    form = forms.play(reading.load_canonical(job["musicxml"]))
    settings = AnalysisSettings(job["bpm"], job["unit"])
    found = analyse(
        audio, form, settings, captions=CAPTIONS,
        progress=lambda name, _: marks.append((name, time.process_time())),
    ).to_json()  # fmt: skip
    ended = time.process_time()
    times = [at for _, at in marks[1:]] + [ended]
    stages = {name: round(after - at, 2) for (name, at), after in zip(marks, times, strict=True)}
    print(
        json.dumps(
            {
                "audio_s": audio.duration_s,
                "cpu_s": ended - begun,
                "start_mb": start_mb,
                "peak_mb": peak_mb(),
                "stages": stages,
                "printed_notes": len(form.notes),
                "share_played": found["form"]["share_played"],
                "first_finding": in_words(found["findings"][0]["text"]) if found["findings"] else "",
            }
        )
    )


if __name__ == "__main__":
    _main()
