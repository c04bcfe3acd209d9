"""python -m tests.accuracy.long [--minutes 1 3 10 60]: speed and memory as a Markdown table.

Each length is measured twice: with a score as long as the take, and with the etude once while the take
plays it over and over. `--write FILE` puts the table between the file's speed markers.
"""

import argparse
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from .material import make
from .measuring import Figures, measure

OPEN, CLOSE = "<!-- speed -->", "<!-- /speed -->"
MINUTES = (1.0, 3.0, 10.0, 60.0)
HEAD = "| take | printed notes | CPU s | CPU s per s of sound | of it alignment | peak MB | above the start |"
# the power of the length up to which growth counts as linear; machines are not quite steady
LINEAR = 1.15


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.accuracy.long", description=__doc__)
    parser.add_argument("--minutes", type=float, nargs="+", default=list(MINUTES))
    parser.add_argument("--write", type=Path, help="a document with the speed markers")
    options = parser.parse_args()
    parts = []
    with TemporaryDirectory() as folder:
        for long_score in (True, False):
            figures = [measure(make(Path(folder), m, long_score=long_score)) for m in options.minutes]
            parts.append(_table(figures, long_score=long_score))
    text = "\n\n".join(parts)
    print(text)
    if options.write:
        _write(options.write, text)
    return 0


def _table(figures: list[Figures], *, long_score: bool) -> str:
    title = "Score as long as the take:" if long_score else "The etude once, the take many times as long:"
    lines = [title, "", HEAD, "|" + "---|" * 7]
    for f in figures:
        alignment = f.stages["Finding each note in the score"] / f.cpu_s
        lines.append(
            f"| {f.audio_s / 60:.1f} min | {f.printed_notes} | {f.cpu_s:.1f} | {f.cpu_s / f.audio_s:.4f} | "
            f"{100 * alignment:.0f} % | {f.peak_mb:.0f} | {f.peak_mb - f.start_mb:.0f} |"
        )
    return "\n".join([*lines, "", _growth(figures)])


def _growth(figures: list[Figures]) -> str:
    """How time and memory grow from each length to the next: the power of the length."""
    if len(figures) < 2:
        return ""
    seconds = np.log([f.audio_s for f in figures])
    time = np.diff(np.log([f.cpu_s for f in figures])) / np.diff(seconds)
    space = np.diff(np.log([f.peak_mb - f.start_mb for f in figures])) / np.diff(seconds)
    powers = ", ".join(f"{p:.2f}" for p in time)
    verdict = "linear or slower" if max(time[-1], space[-1]) <= LINEAR else "faster than linear"
    return (
        f"Growth of time from row to row as a power of the length: {powers}; of memory "
        f"{', '.join(f'{p:.2f}' for p in space)}. From the last row but one to the last: {verdict}."
    )


def _write(path: Path, text: str) -> None:
    document = path.read_text(encoding="utf-8")
    before, rest = document.split(OPEN, 1)
    after = rest.split(CLOSE, 1)[1]
    path.write_text(f"{before}{OPEN}\n{text}\n{CLOSE}{after}", encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
