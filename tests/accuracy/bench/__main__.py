"""`python -m tests.accuracy.bench [--quick] [--seed N] [--write]`: prints the tables; 1 for a miss."""

import argparse
import sys

from recordings.analysis.analyse import warm_up

from . import synth
from .figures import Run, goals
from .measuring import measure
from .plan import recipes
from .table import BEGIN, DEVELOPERS, END, tables, write
from .takes import Studio


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.accuracy.bench", description=__doc__)
    parser.add_argument("--quick", action="store_true", help="three instruments, fewer variants")
    parser.add_argument("--seed", type=int, default=1, help="other music, other cents, other mistakes")
    parser.add_argument("--write", action="store_true", help="put the tables into DEVELOPERS.md")
    options = parser.parse_args()
    if reason := synth.missing():
        print(f"Not measured: {reason}.")
        return 0
    run = _run(quick=options.quick, seed=options.seed)
    figures = goals(run)
    text = tables(run, figures, seed=options.seed)
    print(text)
    if options.write and not write(text):
        print(f"{DEVELOPERS.name} has no {BEGIN} and {END} to put the tables between.", file=sys.stderr)
    return 1 if any(figure.met is False for figure in figures) else 0


def _run(*, quick: bool, seed: int) -> Run:
    warm_up()
    studio, scores, read = Studio(), [], []
    wanted = recipes(quick=quick, seed=seed)
    for number, recipe in enumerate(wanted, start=1):
        print(f"\r{number}/{len(wanted)} {recipe.name:50}", end="", file=sys.stderr, flush=True)
        one, cents = measure(recipe, studio)
        scores.append(one)
        read += cents
    print(file=sys.stderr)
    return Run(tuple(scores), tuple(read))


if __name__ == "__main__":
    sys.exit(main())
