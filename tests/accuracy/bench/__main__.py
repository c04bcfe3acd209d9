"""`python -m tests.accuracy.bench`: the analysis on sampled takes; 1 for a goal missed or a figure fallen.

Without `--seed` the fixed seeds are run and held to what is kept (`guard.py`); with it, other music of the
same kind, held to the goals alone.
"""

import argparse
import sys
from functools import partial

from recordings.analysis.analyse import warm_up

from . import guard, synth
from .figures import Figure, Run, goals, real_goals
from .measuring import measure
from .others import Tool, compare, rows
from .plan import FIXED_SEEDS, recipes
from .real import measure_real
from .table import tables, write
from .takes import Recipe, Studio


def main() -> int:
    options = _options()
    if reason := synth.missing():
        print(f"The sampled takes were not measured: {reason}.")
        return 0
    warm_up()
    studio = Studio()
    mode = "quick" if options.quick else "full"
    if options.noise:
        seeds = guard.NOISE_SEEDS
        guard.keep_noise([goals(_run(studio, recipes(quick=True, seed=seed), None)) for seed in seeds])
        return 0
    tools: dict[str, Tool] | None = {} if options.others else None
    seeds = (options.seed,) if options.seed else FIXED_SEEDS[mode]
    runs = {seed: _run(studio, recipes(quick=options.quick, seed=seed), tools) for seed in seeds}
    figures = {seed: goals(run) for seed, run in runs.items()}
    real = measure_real()
    text = tables(runs, figures, real=real, others=rows(tools or {}))
    print(text)
    if options.write:
        write(text, figures, mode=mode)
    if options.keep:
        for seed, some in figures.items():
            guard.keep(some, mode=mode, seed=seed)
    return _verdict(mode, figures, real_goals(real))


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.accuracy.bench", description=__doc__)
    parser.add_argument("--quick", action="store_true", help="three instruments, fewer variants")
    parser.add_argument("--seed", type=int, help="other music, other cents, other mistakes")
    parser.add_argument("--others", action="store_true", help="general tools on the clean takes beside ours")
    parser.add_argument("--write", action="store_true", help="put the tables into the documents")
    parser.add_argument("--keep", action="store_true", help="hold later runs to these figures")
    parser.add_argument("--noise", action="store_true", help="measure how far other seeds move the figures")
    return parser.parse_args()


def _run(studio: Studio, wanted: list[Recipe], tools: dict[str, Tool] | None) -> Run:
    scores, read = [], []
    beside = None if tools is None else partial(compare, tools)
    for number, recipe in enumerate(wanted, start=1):
        if sys.stderr.isatty():
            print(f"\r{number}/{len(wanted)} {recipe.name:50}", end="", file=sys.stderr, flush=True)
        each, cents = measure(recipe, studio, beside)
        scores.append(each)
        read += cents
    return Run(tuple(scores), tuple(read))


def _verdict(mode: str, figures: dict[int, list[Figure]], real: list[Figure]) -> int:
    """What is missed or fallen, in plain lines; 1 when there is any."""
    missed = [f"Goal missed (seed {seed}): {figure.question}: {figure.reported}, goal {figure.goal}"
              for seed, some in figures.items() for figure in some if figure.met is False]  # fmt: skip
    missed += [f"Goal missed: {f.question}: {f.reported}, goal {f.goal}" for f in real if f.met is False]
    missed += [f"Fallen: {line}" for seed, some in figures.items()
               for line in guard.fallen(some, mode=mode, seed=seed)]  # fmt: skip
    print("\n" + "\n".join(missed or ["Every goal is met, and no figure has fallen by more than its noise."]))
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
