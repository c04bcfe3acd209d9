"""A hundred scores nobody should send, in every format: `python -m tests.repertoire.notation.hostile`.

Each goes through the bounded child as an upload does. It must end in a sentence, in a question for the part,
or in a whole score that reads back the same; in at most 10 s and 500 MB. `--only WORD` runs those whose name
has the word. Exit code 1 when one did otherwise.
"""

import argparse
import contextlib
import os
import re
import sys
import threading
import time
from dataclasses import dataclass
from pathlib import Path

import django

from repertoire.notation.read.parts import SeveralParts
from repertoire.notation.read.reading import MEMORY_MB, load_canonical, read_score_in_child
from repertoire.notation.score import BadScore
from repertoire.wording.words import words

from .hostile_scores import scores

MOST_S = 10.0
TECHNICAL = re.compile(r"Traceback|Error\b|Exception|music21|verovio|None\b|0x[0-9a-f]+")


@dataclass(frozen=True)
class Verdict:
    name: str
    wording: str  # the sentence, "parts" or "read"
    seconds: float
    peak_mb: float
    troubles: tuple[str, ...]


def run(name: str, data: bytes) -> Verdict:
    """What became of it, and everything that must not be."""
    troubles: list[str] = []
    begun = time.monotonic()
    try:
        with PeakOfChild() as watch:
            read = read_score_in_child(data, ask=True)
        wording = "read"
        if load_canonical(read.musicxml) != read.score or not read.score.notes or not read.score.order:
            troubles.append("accepted half")
    except SeveralParts as several:
        wording = "parts"
        if not all(choice.notes and choice.bars for choice in several.choices):
            troubles.append("a part without notes is offered")
    except BadScore as refusal:
        wording = words(refusal.sentence)
        if TECHNICAL.search(wording) or not wording.endswith((".", "?")) or "{" in wording:
            troubles.append("no sentence for a person")
    except Exception as error:  # whatever else comes out is a fault of ours
        wording = f"crash: {type(error).__name__}: {str(error)[-200:]}"
        troubles.append("crash")
    seconds = time.monotonic() - begun
    if watch.peak_mb > MEMORY_MB:
        troubles.append("too much memory")
    if seconds > MOST_S:
        troubles.append("too slow")
    return Verdict(name, wording, seconds, watch.peak_mb, tuple(troubles))


class PeakOfChild:
    """The largest resident size of the reading child, looked up in /proc while it lives (Linux only).

    What the system tells of ended children counts the memory of the parent they were forked from.
    """

    def __enter__(self) -> "PeakOfChild":
        self.peak_mb, self._over = 0.0, threading.Event()
        self._watch = threading.Thread(target=self._look, daemon=True)
        self._watch.start()
        return self

    def __exit__(self, *_args) -> None:
        self._over.set()
        self._watch.join()

    def _look(self) -> None:
        while not self._over.wait(0.005):
            for child in self._children():
                with contextlib.suppress(OSError):
                    if b"repertoire.notation.read.child" in Path(f"/proc/{child}/cmdline").read_bytes():
                        status = Path(f"/proc/{child}/status").read_text()
                        found = re.search(r"VmHWM:\s+(\d+)", status)
                        self.peak_mb = max(self.peak_mb, int(found[1]) / 1024 if found else 0.0)

    @staticmethod
    def _children() -> list[str]:
        found: list[str] = []
        for task in Path("/proc/self/task").iterdir():
            with contextlib.suppress(OSError):
                found += (task / "children").read_text().split()
        return found


def main() -> int:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.setup.settings")
    django.setup()
    parser = argparse.ArgumentParser(prog="python -m tests.repertoire.notation.hostile", description=__doc__)
    parser.add_argument("--only", default="", help="a word of the names to run")
    wanted = parser.parse_args().only
    verdicts = []
    for name, data in scores():
        if wanted in name:
            verdicts.append(run(name, data))
            last = verdicts[-1]
            reported = f"{last.seconds:5.2f} s {last.peak_mb:4.0f} MB  {name}: {last.wording[:110]}"
            print(reported, *(f"!! {trouble}" for trouble in last.troubles), flush=True)
    slowest = max(verdicts, key=lambda verdict: verdict.seconds)
    largest = max(verdicts, key=lambda verdict: verdict.peak_mb)
    read = sum(verdict.wording == "read" for verdict in verdicts)
    bad = [verdict for verdict in verdicts if verdict.troubles]
    print(f"\n{len(verdicts)} scores: {read} read whole, {len(verdicts) - read} answered with words,")
    print(f"slowest {slowest.seconds:.2f} s ({slowest.name}),")
    print(f"largest {largest.peak_mb:.0f} MB ({largest.name}), {len(bad)} with troubles.")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
