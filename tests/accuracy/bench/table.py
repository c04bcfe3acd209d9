"""The benchmark's tables as Markdown, and their place in DEVELOPERS.md."""

from pathlib import Path

import numpy as np

from .figures import ANCHORS, Figure, Run, cents_off, notes_of, on_time_percent, reliability, tempo_percent
from .instruments import PLAYERS

DEVELOPERS = Path(__file__).resolve().parents[3] / "DEVELOPERS.md"
BEGIN, END = "<!-- bench -->", "<!-- /bench -->"


def tables(run: Run, figures: list[Figure], *, seed: int, others: list[tuple[str, ...]]) -> str:
    """The goals, clean takes by instrument, what confidence is worth, and the forms told wrong."""
    return "\n\n".join(
        (
            f"Seed {seed}, {len(run.scores)} takes, {sum(o.duration_s for o in run.scores) / 60:.0f} minutes "
            "of sampled instruments.",
            _markdown(
                ("question", "general tools", "goal", "measured", "met"),
                [_goal_row(figure) for figure in figures],
            ),
            _markdown(
                ("clean takes of", "cents off", "p95", "onsets in 50 ms", "onsets late by", "tempo by bar"),
                [row for name in PLAYERS if (row := _instrument_row(run, name))],
            ),
            _markdown(("confidence told", "notes", "right within 10 c and 50 ms"),
                      [(step, str(count), _percent(share)) for step, count, share in reliability(run)]),
            *_others(others),
            _wrong_forms(run),
        )
    )  # fmt: skip


def _others(others: list[tuple[str, ...]]) -> list[str]:
    if not others:
        return []
    head = (
        "general tools, clean",
        "cents, long notes at true times",
        "gross",
        "onsets in 50 ms",
        "CPU a second",
    )
    return [_markdown(head, others)]


def _markdown(head: tuple[str, ...], rows: list[tuple[str, ...]]) -> str:
    return "\n".join(f"| {' | '.join(row)} |" for row in [head, ("---",) * len(head), *rows])


def _goal_row(figure: Figure) -> tuple[str, ...]:
    met = {None: "", True: "yes", False: "**no**"}[figure.met]
    return figure.question, ANCHORS.get(figure.question, ""), figure.goal, figure.told, met


def _instrument_row(run: Run, name: str) -> tuple[str, ...] | None:
    scores = [one for one in run.of("clean") if one.take.recipe.instrument == name]
    if not scores:
        return None
    off = np.abs(cents_off(scores))
    late = [1000 * note.onset_off_s for note in notes_of(scores) if note.onset_off_s is not None]
    return (
        name, f"{np.median(off):.2f}", f"{np.percentile(off, 95):.1f}", _percent(on_time_percent(scores)),
        f"{np.median(late):.0f} ms", _percent(tempo_percent(scores)),
    )  # fmt: skip


def _wrong_forms(run: Run) -> str:
    wrong = [one for one in run.scores if not one.form_right]
    if not wrong:
        return "The bars played were told exactly in every take."
    lines = [f"- {one.take.recipe.name}: played {_played(one)}; told {one.form_told}" for one in wrong]
    return "\n".join(["Takes whose bars were told otherwise than played:", "", *lines])


def _played(one) -> str:
    labels = [one.take.form.score.measures[one.take.form.bars[bar.position].measure_index].number
              for bar in one.take.truth.bars]  # fmt: skip
    return " ".join(labels)


def _percent(value: float | None) -> str:
    return "" if value is None else f"{value:.1f} %"


def write(text: str) -> bool:
    """Put the tables between the markers in DEVELOPERS.md; False when the file has no markers."""
    if not DEVELOPERS.exists():
        return False
    page = DEVELOPERS.read_text(encoding="utf-8")
    if BEGIN not in page or END not in page:
        return False
    before, after = page.split(BEGIN)[0], page.split(END)[1]
    DEVELOPERS.write_text(f"{before}{BEGIN}\n{text}\n{END}{after}", encoding="utf-8")
    return True
