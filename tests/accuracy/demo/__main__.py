"""`python -m tests.accuracy.demo`: the real analysis of every demo take, held to what the take holds.

Without names all demo takes and some drawn by lot are measured; `--write FILE` puts the table between the
markers of that file.
"""

import argparse
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TypeVar

from tests.accuracy.demo.comparing import Outcome
from tests.accuracy.demo.measured import measure_demo, measure_drawn, wanted
from tests.accuracy.demo.table import drawn_sentence, table

Take = TypeVar("Take")
DRAWN = 48  # takes by lot: each flaw once on each instrument
BEGIN, END = "<!-- accuracy -->", "<!-- /accuracy -->"


def main(arguments: Sequence[str] | None = None) -> int:
    options = _options(arguments)
    try:
        takes = wanted(options.takes)
    except LookupError as unknown:
        print(unknown, file=sys.stderr)
        return 2
    text = table(_measured(takes, measure_demo))
    if not options.takes:
        text += f"\n\n{drawn_sentence(_measured(range(DRAWN), measure_drawn))}"
    print(text)
    if options.write:
        page = options.write.read_text(encoding="utf-8")
        options.write.write_text(between_markers(page, text), encoding="utf-8")
    return 0


def _options(arguments: Sequence[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.accuracy.demo", description=__doc__)
    parser.add_argument("takes", nargs="*", help="names of demo takes; without any, all of them")
    parser.add_argument("--write", type=Path, metavar="FILE", help=f"put the table between {BEGIN} and {END}")
    options = parser.parse_args(arguments)
    if options.write and options.takes:
        parser.error("the written table holds every take: leave out the names")
    return options


def _measured(takes: Sequence[Take], measure: Callable[[Take], Outcome]) -> list[Outcome]:
    outcomes = []
    for take in takes:
        outcomes.append(measure(take))
        print(f"measured {outcomes[-1].take}", file=sys.stderr)
    return outcomes


def between_markers(page: str, text: str) -> str:
    """`page` with everything between the markers replaced by `text`; raises LookupError without them."""
    if BEGIN not in page or END not in page:
        raise LookupError(f"The file has no place for the table: it needs {BEGIN} and {END}.")
    before, _, rest = page.partition(BEGIN)
    return f"{before}{BEGIN}\n{text}\n{END}{rest.partition(END)[2]}"


if __name__ == "__main__":
    sys.exit(main())
