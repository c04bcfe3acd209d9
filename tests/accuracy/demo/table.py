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
    rows = [_row(one) for one in outcomes]
    lines = [f"| {' | '.join(row)} |" for row in [HEAD, ("---",) * len(HEAD), *rows, _summary(outcomes)]]
    return "\n".join([CAPTION, "", *lines])


def drawn_sentence(outcomes: Sequence[Outcome]) -> str:
    """What came of takes nobody chose, in one paragraph."""
    flawed = [one for one in outcomes if one.flaw_found is not None]
    missed = sorted({one.flaw.replace("_", " ") for one in flawed if not one.flaw_found})
    form_right = sum(one.form_right for one in outcomes)
    found = sum(bool(one.flaw_found) for one in flawed)
    alarmed = sum(bool(one.false_alarms) for one in outcomes)
    onsets = min(one.onsets_percent for one in outcomes)
    cents = max(one.cents_median or 0.0 for one in outcomes)
    tempo = max(one.tempo_percent or 0.0 for one in outcomes)
    return (
        f"Of {len(outcomes)} further takes drawn by lot (tempo, tuning, noise, flaw and bars at random), the "
        f"bars played were told right in {form_right}, the flaw in {found} of {len(flawed)}"
        + (f" (not always: {', '.join(missed)})" if missed else "")
        + f", and a fault that is not there in {alarmed}. The worst figures: "
        f"{onsets:.0f} % of the onsets within 50 ms, cents off {cents:.1f} (median), tempo off {tempo:.1f} %."
    )


def _row(one: Outcome) -> tuple[str, ...]:
    return (
        one.take.replace("_", " "),
        one.said,
        f"{one.onsets_percent:.0f} %",
        _number(one.cents_median, ""),
        _number(one.cents_p95, ""),
        f"{one.pitched_percent:.0f} %",
        _number(one.tempo_percent, " %"),
        _number(one.tuning_cents, " cents"),
        _yes(one.form_right),
        "" if one.flaw_found is None else _yes(one.flaw_found),
        f"**{one.false_alarms}**" if one.false_alarms else "none",
    )


def _summary(outcomes: Sequence[Outcome]) -> tuple[str, ...]:
    flawed = [one for one in outcomes if one.flaw_found is not None]
    return (
        "**all**",
        f"{len(outcomes)} takes, median of each column",
        f"{_median(outcomes, 'onsets_percent'):.0f} %",
        _number(_median(outcomes, "cents_median"), ""),
        _number(_median(outcomes, "cents_p95"), ""),
        f"{_median(outcomes, 'pitched_percent'):.0f} %",
        _number(_median(outcomes, "tempo_percent"), " %"),
        _number(_median(outcomes, "tuning_cents"), " cents"),
        f"{sum(one.form_right for one in outcomes)} of {len(outcomes)}",
        f"{sum(bool(one.flaw_found) for one in flawed)} of {len(flawed)}",
        f"in {sum(bool(one.false_alarms) for one in outcomes)} of {len(outcomes)} takes",
    )


def _median(outcomes: Sequence[Outcome], name: str) -> float | None:
    values = [getattr(one, name) for one in outcomes if getattr(one, name) is not None]
    return float(np.median(values)) if values else None


def _number(value: float | None, unit: str) -> str:
    return "not measured" if value is None else f"{value:.1f}{unit}"


def _yes(value: bool) -> str:
    return "yes" if value else "**no**"
