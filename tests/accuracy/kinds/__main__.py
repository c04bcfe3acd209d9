"""`python -m tests.accuracy.kinds`: the kinds of takes that cost trust, each beside its goal.

It ends with 1 when a figure fell below what was kept by more than its noise; goals not reached are named.
"""

import argparse
import sys
from pathlib import Path

from recordings.analysis.analyse import warm_up
from tests.accuracy.bench import guard, synth, table
from tests.accuracy.bench.takes import Studio
from tests.accuracy.long_recordings.talk import can_speak

from . import figures, fitting, plan
from .scoring import KindScore, measure

SEEDS = (1, 2)
KEPT = Path(__file__).with_name("kept.json")
BEGIN, END = "<!-- kinds -->", "<!-- /kinds -->"


def main() -> int:
    options = _options()
    reason = synth.missing() or ("" if can_speak() else "espeak-ng was not found (apt install espeak-ng)")
    if reason:
        print(f"The kinds of takes were not measured: {reason}.")
        return 0
    warm_up()
    studio = Studio()
    if options.fit:
        for name, odds in fitting.fitted(studio).items():
            print(f"{name} = {odds}")
        return 0
    seeds = (options.seed,) if options.seed else SEEDS
    runs = {seed: _run(studio, seed) for seed in seeds}
    answers = {seed: figures.goals(scores) for seed, scores in runs.items()}
    text = "\n\n".join((table.goals_table(answers), _bands(runs), _not_refused(runs)))
    print(text)
    if options.write:
        table.between(table.DEVELOPERS, f"Written by `python -m tests.accuracy.kinds`.\n\n{text}", BEGIN, END)
    if options.keep:
        guard.keep_noise(list(answers.values()), path=KEPT, of=f"the seeds {seeds}")
        for seed, some in answers.items():
            guard.keep(some, mode="kinds", seed=seed, path=KEPT)
    return _verdict(answers)


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.accuracy.kinds", description=__doc__)
    parser.add_argument("--seed", type=int, help="other music, held to the goals alone")
    parser.add_argument("--write", action="store_true", help="put the tables into DEVELOPERS.md")
    parser.add_argument("--keep", action="store_true", help="hold later runs to these figures")
    parser.add_argument("--fit", action="store_true", help="fit the weights of the confidence and print them")
    return parser.parse_args()


def _run(studio: Studio, seed: int) -> list[KindScore]:
    return [measure(made) for kind in plan.KINDS for made in plan.takes(kind, seed, studio)]


def _bands(runs: dict[int, list[KindScore]]) -> str:
    """What a confidence is worth, all seeds together; where it was not fitted and where it is worst apart."""
    scores = [score for some in runs.values() for score in some]
    others = [score for score in scores if score.kind == plan.OTHER_PLAYERS]
    under = [score for score in scores if score.kind == plan.PIANO_6]
    groups = (
        ("single notes, all kinds", figures.notes(scores, together=False)),
        ("single notes, instruments not fitted on", figures.notes(others, together=False)),
        ("single notes, a piano 6 dB below", figures.notes(under, together=False)),
        ("notes struck together", figures.notes(scores, together=True)),
    )
    rows = [
        (name, band, str(count), f"{said:.1f} %", f"{right:.1f} %" + few(count))
        for name, told in groups
        for band, count, said, right in figures.bands(told)
    ]
    return table.markdown(("of", "confidence told", "notes", "told on average", "right"), rows)


def few(count: int) -> str:
    return " (few notes)" if count < figures.FEW_NOTES else ""


def _not_refused(runs: dict[int, list[KindScore]]) -> str:
    """Other pages that were taken for the one asked for, by name: these are the ones to look at."""
    names = [
        f"- seed {seed}: {score.name} ({score.kind}): {', '.join(score.kinds_told) or 'nothing told'}"
        for seed, scores in runs.items() for score in scores if score.scored is None and not score.refused
    ]  # fmt: skip
    return "\n".join(
        ["Pages taken for another:", "", *names] if names else ["No page was taken for another."]
    )


def _verdict(answers: dict[int, list[figures.Figure]]) -> int:
    missed = [f"Goal not reached (seed {seed}): {figure.question}: {figure.reported}, goal {figure.goal}"
              for seed, some in answers.items() for figure in some if figure.met is False]  # fmt: skip
    fallen = [f"Fallen: {line}" for seed, some in answers.items()
              for line in guard.fallen(some, mode="kinds", seed=seed, path=KEPT)]  # fmt: skip
    print("\n" + "\n".join([*missed, *fallen] or ["Every goal is reached, and no figure has fallen."]))
    return 1 if fallen else 0


if __name__ == "__main__":
    sys.exit(main())
