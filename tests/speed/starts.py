"""`python -m tests.speed.starts`: a 46 s take from job to result, from nothing and from a warm parent.

Seconds by the clock and of the processor (of ten in a row each, taken in turn, the median and the largest),
the seconds until measuring begins, and the largest resident size. On a busy machine only the ratios say
something.
"""

import json
import os
import time
from collections.abc import Callable
from dataclasses import asdict, astuple, dataclass
from pathlib import Path
from statistics import median

from recordings.analysis.document.contract import AnalysisSettings
from recordings.analysis.process.in_child import CHILD
from repertoire.notation.bounded import Ended, ProcessLimits, Start, fresh, run
from repertoire.notation.read.reading import read_score
from repertoire.notation.warm import WarmParent

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
TIMES = 10
LIMITS = ProcessLimits(time_s=600.0, memory_mb=3000, data_only=True)
FIGURES = ("wall s", "CPU s", "s until it begins", "peak MB")


@dataclass(frozen=True)
class Figures:
    """What one take cost."""

    wall_s: float
    cpu_s: float
    begins_s: float
    peak_mb: float


def job() -> bytes:
    score = read_score((FIXTURES / "scores" / "violin.musicxml").read_bytes())
    return json.dumps(
        {
            "path": str(FIXTURES / "takes" / "violin_clean.opus"),
            "musicxml": score.musicxml,
            "form_options": {"with_repeats": True, "bars": None},
            "settings": asdict(AnalysisSettings(96.0, 1.0)),
            "captions": [],
            "max_seconds": 600,
        }
    ).encode()


def figures(data: bytes, start: Start, cpu_s: Callable[[], float]) -> Figures:
    lines: list[float] = []
    began, cpu = time.monotonic(), cpu_s()
    ended: Ended = run(
        CHILD, data=data, limits=LIMITS, start=start, on_line=lambda _line: lines.append(time.monotonic())
    )
    wall = time.monotonic() - began
    return Figures(wall, cpu_s() - cpu, lines[0] - began, float(ended.peak_mb or 0))


def of_our_children() -> float:
    took = os.times()
    return took.children_user + took.children_system


def of_its_children(parent: WarmParent) -> float:
    """CPU seconds of the ended children of the warm parent (proc(5): cutime and cstime)."""
    fields = Path(f"/proc/{parent.number}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[13]) + int(fields[14])) / os.sysconf("SC_CLK_TCK")


def main() -> None:
    data = job()
    parent = WarmParent(CHILD)
    figures(data, fresh, of_our_children)
    figures(data, parent, lambda: 0.0)
    rows: dict[str, list[Figures]] = {"from nothing": [], "from a warm parent": []}
    for _ in range(TIMES):
        rows["from nothing"].append(figures(data, fresh, of_our_children))
        rows["from a warm parent"].append(figures(data, parent, lambda: of_its_children(parent)))
    resident = Path(f"/proc/{parent.number}/status").read_text().split("VmRSS:")[1].split()[0]
    print(f"{'':20}" + "".join(f"{name:>26}" for name in FIGURES))
    for name, taken in rows.items():
        columns = zip(*map(astuple, taken), strict=True)
        cells = (f"{median(column):.2f} (at most {max(column):.2f})" for column in columns)
        print(f"{name:20}" + "".join(f"{cell:>26}" for cell in cells))
    print(f"The warm parent holds {int(resident) / 1024:.0f} MB, shared with its children.")
    parent.close()


if __name__ == "__main__":
    main()
