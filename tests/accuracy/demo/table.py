"""The accuracy table as Markdown."""

from collections.abc import Sequence

import numpy as np

from tests.accuracy.demo.comparing import Outcome

CAPTION = (
    "The sound of these takes is synthesised by the project's own script (`fixtures/make_sounds.py`) so that "
    "every onset and cent of it is known, with plain models of instrument, room and telephone: expect "
    "larger errors on real takes. Some limits of the analysis were set with these very takes in view, so the "
    "last two columns are no independent test. A flaw counts as found only at its place: "
    "`tests/accuracy/demo/flaws.py` says how strictly. Other faults are told, but not in the take."
)
HEAD = (
    "take", "what is in it", "onsets within 50 ms", "cents off, median", "cents off, 95 of 100",
    "notes given a pitch", "tempo off", "own A off", "bars played told right", "flaw found",
    "other faults told",
)  # fmt: skip


def table(outcomes: Sequence[Outcome]) -> str:
    """One row a take, a summary row, and the caption that says what the sound is."""
    rows = [_row(each) for each in outcomes]
    lines = [f"| {' | '.join(row)} |" for row in [HEAD, ("---",) * len(HEAD), *rows, _summary(outcomes)]]
    return "\n".join([CAPTION, "", *lines])


def drawn_sentence(outcomes: Sequence[Outcome]) -> str:
    """What came of takes nobody chose, in one paragraph."""
    flawed = [each for each in outcomes if each.flaw_found is not None]
    missed = sorted({each.flaw.replace("_", " ") for each in flawed if not each.flaw_found})
    form_right = sum(each.form_right for each in outcomes)
    found = sum(bool(each.flaw_found) for each in flawed)
    alarmed = sum(bool(each.false_alarms) for each in outcomes)
    onsets = min(each.onsets_percent for each in outcomes)
    cents = max(each.cents_median or 0.0 for each in outcomes)
    tempo = max(each.tempo_percent or 0.0 for each in outcomes)
    return (
        f"Of {len(outcomes)} further takes drawn by lot (tempo, tuning, noise, flaw and bars at random), the "
        f"bars played were told right in {form_right}, the flaw in {found} of {len(flawed)}"
        + (f" (not always: {', '.join(missed)})" if missed else "")
        + f", and a fault that is not there in {alarmed}. The worst figures: "
        f"{onsets:.0f} % of the onsets within 50 ms, cents off {cents:.1f} (median), tempo off {tempo:.1f} %."
    )


def _row(each: Outcome) -> tuple[str, ...]:
    return (
        each.take.replace("_", " "),
        each.wording,
        f"{each.onsets_percent:.0f} %",
        _number(each.cents_median, ""),
        _number(each.cents_p95, ""),
        f"{each.pitched_percent:.0f} %",
        _number(each.tempo_percent, " %"),
        _number(each.tuning_cents, " cents"),
        _yes(each.form_right),
        "" if each.flaw_found is None else _yes(each.flaw_found),
        f"**{each.false_alarms}**" if each.false_alarms else "none",
    )


def _summary(outcomes: Sequence[Outcome]) -> tuple[str, ...]:
    flawed = [each for each in outcomes if each.flaw_found is not None]
    return (
        "**all**",
        f"{len(outcomes)} takes, median of each column",
        f"{_median(outcomes, 'onsets_percent'):.0f} %",
        _number(_median(outcomes, "cents_median"), ""),
        _number(_median(outcomes, "cents_p95"), ""),
        f"{_median(outcomes, 'pitched_percent'):.0f} %",
        _number(_median(outcomes, "tempo_percent"), " %"),
        _number(_median(outcomes, "tuning_cents"), " cents"),
        f"{sum(each.form_right for each in outcomes)} of {len(outcomes)}",
        f"{sum(bool(each.flaw_found) for each in flawed)} of {len(flawed)}",
        f"in {sum(bool(each.false_alarms) for each in outcomes)} of {len(outcomes)} takes",
    )


def _median(outcomes: Sequence[Outcome], name: str) -> float | None:
    values = [getattr(each, name) for each in outcomes if getattr(each, name) is not None]
    return float(np.median(values)) if values else None


def _number(value: float | None, unit: str) -> str:
    return "not measured" if value is None else f"{value:.1f}{unit}"


def _yes(value: bool) -> str:
    return "yes" if value else "**no**"
