"""The benchmark's tables as Markdown, and their places in DEVELOPERS.md and, in short, in README.md."""

from pathlib import Path

import numpy as np

from .figures import (
    ANCHORS,
    Figure,
    Run,
    cents_off,
    notes_of,
    on_time_percent,
    real_goals,
    reliability,
    tempo_percent,
)
from .instruments import PLAYERS
from .real import RealScore

ROOT = Path(__file__).resolve().parents[3]
DEVELOPERS, README = ROOT / "DEVELOPERS.md", ROOT / "README.md"
BEGIN, END = "<!-- bench -->", "<!-- /bench -->"
# what a studio asks first
IN_SHORT = (
    "cents, whole analysis, clean, without cello",
    "cents in a room with noise 30 dB under: median",
    "onsets within 50 ms, clean",
    "the same at half tempo, stopped early, repeat left out, started again",
    "unplayed notes claimed as played",
    "tempo by bar within 3 %, clean, without cello",
    "of notes given a confidence of 0.9, right within 10 c and 50 ms",
    "takes whose bars are told exactly as played",
)


def tables(
    runs: dict[int, Run],
    figures: dict[int, list[Figure]],
    *,
    real: list[RealScore],
    others: list[tuple[str, ...]],
) -> str:
    """The goals by seed; all seeds together: instruments, what confidence is worth, forms told wrong."""
    scores = [each for run in runs.values() for each in run.scores]
    both = Run(tuple(scores), ())
    minutes = sum(each.duration_s for each in scores) / 60
    return "\n\n".join(
        (
            f"{_seeds(list(runs))}, {len(scores)} takes, {minutes:.0f} minutes of sampled instruments.",
            goals_table(figures),
            *_missed(figures),
            markdown(
                ("clean takes of", "cents off", "p95", "onsets in 50 ms", "onsets late by", "tempo by bar"),
                [row for name in PLAYERS if (row := _instrument_row(both, name))],
            ),
            markdown(("confidence told", "notes", "told on average", "right within 10 c and 50 ms"),
                     [(step, str(count), _percent(told), _percent(share))
                      for step, count, share, told in reliability(both)]),
            *_others(others),
            *_real(real),
            _wrong_forms(both),
        )
    )  # fmt: skip


def _seeds(seeds: list[int]) -> str:
    return f"Seed {seeds[0]}" if len(seeds) == 1 else f"Seeds {' and '.join(map(str, seeds))}"


def goals_table(figures: dict[int, list[Figure]], questions: tuple[str, ...] = ()) -> str:
    """A row a question, a column a seed; all questions where none is named."""
    seeds = list(figures)
    head = ("question", "general tools", "goal", *(f"seed {seed}" for seed in seeds), "met")
    rows = []
    for beside in zip(*figures.values(), strict=True):
        each = beside[0]
        if not questions or each.question in questions:
            rows.append((each.question, ANCHORS.get(each.question, ""), each.goal,
                         *(figure.reported for figure in beside), _met(beside)))  # fmt: skip
    return markdown(head, rows)


def _met(beside: tuple[Figure, ...]) -> str:
    wording = [figure.met for figure in beside]
    if False in wording:
        return "**no**"
    return "yes" if True in wording else ""


def _missed(figures: dict[int, list[Figure]]) -> list[str]:
    """Where a missed goal comes from is to be read off: the instruments and variants are named below it."""
    missed = {f.question for some in figures.values() for f in some if f.met is False}
    return [f"Short of its goal: {'; '.join(sorted(missed))}."] if missed else []


def _real(real: list[RealScore]) -> list[str]:
    if not real:
        return []
    rows = [
        (each.name, each.bars_told, _percent(100 * each.share_played), _off(each.tempo_off),
         _off(each.median_off), f"{each.spread_cents:.1f} c", f"{each.wrong} of {each.notes}",
         ", ".join(each.checks_reported) or "none")
        for each in real
    ]  # fmt: skip
    head = ("real take", "bars told", "notes placed", "tempo of the whole off by", "middle tempo",
            "cents off, middle", "told wrong", "recording checks raised")  # fmt: skip
    met = all(figure.met is not False for figure in real_goals(real))
    return [markdown(head, rows) + ("" if met else "\n\nA goal of the real takes is missed.")]


def _off(share: float) -> str:
    return f"{100 * share:+.1f} %"


def _others(others: list[tuple[str, ...]]) -> list[str]:
    if not others:
        return []
    head = (
        "general tools, clean takes",
        "cents, long notes at true times",
        "gross",
        "onsets in 50 ms",
        "CPU a second",
    )
    return [markdown(head, others)]


def markdown(head: tuple[str, ...], rows: list[tuple[str, ...]]) -> str:
    return "\n".join(f"| {' | '.join(row)} |" for row in [head, ("---",) * len(head), *rows])


def _instrument_row(run: Run, name: str) -> tuple[str, ...] | None:
    scores = [each for each in run.of("clean") if each.take.recipe.instrument == name]
    if not scores:
        return None
    off = np.abs(cents_off(scores))
    late = [1000 * note.onset_off_s for note in notes_of(scores) if note.onset_off_s is not None]
    return (
        name, f"{np.median(off):.2f}", f"{np.percentile(off, 95):.1f}", _percent(on_time_percent(scores)),
        f"{np.median(late):.0f} ms", _percent(tempo_percent(scores)),
    )  # fmt: skip


def _wrong_forms(run: Run) -> str:
    wrong = [each for each in run.scores if not each.form_right]
    if not wrong:
        return "The bars played were told exactly in every take."
    lines = [f"- {each.take.recipe.name}: played {_played(each)}; told {each.form_told}" for each in wrong]
    return "\n".join(["Takes whose bars were told otherwise than played:", "", *lines])


def _played(each) -> str:
    labels = [each.take.form.score.measures[each.take.form.bars[bar.position].measure_index].number
              for bar in each.take.truth.bars]  # fmt: skip
    return " ".join(labels)


def _percent(value: float | None) -> str:
    return "" if value is None else f"{value:.1f} %"


def write(text: str, figures: dict[int, list[Figure]], *, mode: str) -> None:
    """Put the tables into DEVELOPERS.md and the first questions into README.md.

    Raises `ValueError` for a page that has no markers.
    """
    between(DEVELOPERS, f"Written by `python -m tests.accuracy.bench` ({mode} run).\n\n{text}")
    between(README, goals_table(figures, IN_SHORT))


def between(path: Path, text: str, begin: str = BEGIN, end: str = END) -> None:
    """Replace what stands between the markers of a page."""
    page = path.read_text(encoding="utf-8")
    if begin not in page or end not in page:
        raise ValueError(f"{path.name} has no {begin} and {end} to put the tables between.")
    before, after = page.split(begin)[0], page.split(end)[1]
    path.write_text(f"{before}{begin}\n{text}\n{end}{after}", encoding="utf-8")
