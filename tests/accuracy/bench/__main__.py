"""`python -m tests.accuracy.bench [--quick] [--seed N] [--others] [--write]`: 1 for a missed goal."""

import argparse
import sys
from functools import partial

from recordings.analysis.analyse import warm_up

from . import synth
from .figures import Run, goals
from .measuring import measure
from .others import Tool, compare, rows
from .plan import recipes
from .table import BEGIN, DEVELOPERS, END, tables, write
from .takes import Recipe, Studio


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.accuracy.bench", description=__doc__)
    parser.add_argument("--quick", action="store_true", help="three instruments, fewer variants")
    parser.add_argument("--seed", type=int, default=1, help="other music, other cents, other mistakes")
    parser.add_argument("--others", action="store_true", help="general tools on the clean takes beside ours")
    parser.add_argument("--write", action="store_true", help="put the tables into DEVELOPERS.md")
    options = parser.parse_args()
    if reason := synth.missing():
        print(f"Not measured: {reason}.")
        return 0
    tools: dict[str, Tool] = {}
    run = _run(recipes(quick=options.quick, seed=options.seed), tools if options.others else None)
    figures = goals(run)
    text = tables(run, figures, seed=options.seed, others=rows(tools))
    print(text)
    if options.write and not write(text):
        print(f"{DEVELOPERS.name} has no {BEGIN} and {END} to put the tables between.", file=sys.stderr)
    return 1 if any(figure.met is False for figure in figures) else 0


def _run(wanted: list[Recipe], tools: dict[str, Tool] | None) -> Run:
    warm_up()
    studio, scores, read = Studio(), [], []
    beside = None if tools is None else partial(compare, tools)
    for number, recipe in enumerate(wanted, start=1):
        print(f"\r{number}/{len(wanted)} {recipe.name:50}", end="", file=sys.stderr, flush=True)
        one, cents = measure(recipe, studio, beside)
        scores.append(one)
        read += cents
    print(file=sys.stderr)
    return Run(tuple(scores), tuple(read))


if __name__ == "__main__":
    sys.exit(main())
