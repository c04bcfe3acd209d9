"""The figures kept from the last accepted run, and which of today's have fallen below them.

`kept.json` beside this file holds, for the fixed seeds of a quick and of a full run, every figure as it was
when `--keep` was last given, and the noise of each: the distance between the best and the worst of the quick
figures over the seeds named there, that is how far other music of the same kind moves it. A figure that is
worse than the kept one by more than its noise has fallen. Seconds of work are not kept: they belong to the
machine, and have their goal.
"""

import json
from pathlib import Path

from .figures import COST, Figure

KEPT = Path(__file__).with_name("kept.json")
NOISE_SEEDS = (11, 12, 13, 14, 15)
QUICK_RUNS = f"quick runs with the seeds {', '.join(map(str, NOISE_SEEDS))}"
LEAST_NOISE = 0.05  # of any unit; a figure that never moved over the seeds may still move by a rounding


def fallen(figures: list[Figure], *, mode: str, seed: int, path: Path = KEPT) -> list[str]:
    """One line for each figure that fell; none for a seed that was never kept."""
    kept = _read(path)
    before, noise = kept["figures"].get(f"{mode} {seed}", {}), kept["noise"]
    lines = []
    for figure in figures:
        for place, value in enumerate(figure.values if figure.question in before else ()):
            was = before[figure.question][place]
            worse = was - value if figure.more_is_better else value - was
            allowed = max(noise.get(figure.question, [0.0] * 2)[place], LEAST_NOISE)
            if worse > allowed:
                lines.append(f"{figure.question}: {value:.2f}, was {was:.2f}; its noise is {allowed:.2f}")
    lost = [question for question in before if not _measured(question, figures)]
    lines += [f"{question}: no longer measured" for question in lost]
    return [f"{line} ({mode} run, seed {seed})" for line in lines]


def _measured(question: str, figures: list[Figure]) -> bool:
    return any(figure.question == question and figure.values for figure in figures)


def keep(figures: list[Figure], *, mode: str, seed: int, path: Path = KEPT) -> None:
    """Take these figures as what later runs are held to."""
    kept = _read(path)
    kept["figures"][f"{mode} {seed}"] = {
        figure.question: [round(value, 4) for value in figure.values]
        for figure in figures
        if figure.values and figure.question != COST and not figure.local
    }
    _write(kept, path)


def keep_noise(runs: list[list[Figure]], *, path: Path = KEPT, of: str = QUICK_RUNS) -> None:
    """The spread of each figure over runs of several seeds; `of` says of which."""
    spread: dict[str, list[tuple[float, ...]]] = {}
    for figures in runs:
        for figure in figures:
            if figure.values and figure.question != COST and not figure.local:
                spread.setdefault(figure.question, []).append(figure.values)
    kept = _read(path)
    kept["noise_is"] = f"best to worst of {of}"
    kept["noise"] = {
        question: [round(max(column) - min(column), 4) for column in zip(*rows, strict=True)]
        for question, rows in spread.items()
    }
    _write(kept, path)


def _read(path: Path) -> dict:
    if not path.exists():
        return {"noise_is": "", "noise": {}, "figures": {}}
    return json.loads(path.read_text(encoding="utf-8"))


def _write(kept: dict, path: Path) -> None:
    path.write_text(json.dumps(kept, indent=1) + "\n", encoding="utf-8")
