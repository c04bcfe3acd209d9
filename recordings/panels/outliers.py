"""Marks that stand apart from the others', told in words.

A listener who marks lower than the others throughout is told once, and only what lies apart from that habit
is told of a take. The shares are common practice, no published source.
"""

import statistics
from collections.abc import Iterator

from django.utils.translation import gettext as _

from recordings.panels.results import Results, TakeResult
from repertoire.wording.words import short_number

# Shares of the way from the lowest total to the highest.
HABIT, APART = 0.05, 0.15
FEWEST_LISTENERS = 3


def outliers_of(results: Results) -> list[str]:
    """A sentence each: first habits of listeners, then totals that stand apart."""
    takes = [take for group in results.groups for take in group.takes]
    takes = [take for take in takes if len(take.totals) >= FEWEST_LISTENERS]
    away = {
        (take.panel_take.pk, listener): _away(take, listener) for take in takes for listener in take.totals
    }
    habits = {
        listener: statistics.fmean(by_this)
        for listener in results.listeners
        if len(by_this := [off for (_take, who), off in away.items() if who == listener]) > 1
    }
    return [*_habits(results, habits), *_apart(results, takes, away, habits)]


def _away(take: TakeResult, listener: int) -> float:
    """Above (below where negative) the middle of the others."""
    others = [float(total) for who, total in take.totals.items() if who != listener]
    return float(take.totals[listener]) - statistics.median(others)


def _habits(results: Results, habits: dict[int, float]) -> Iterator[str]:
    for listener, habit in habits.items():
        if abs(habit) < HABIT * results.span:
            continue
        said = {"name": results.listeners[listener].name, "points": short_number(round(abs(habit), 1))}
        if habit > 0:
            yield _("%(name)s marks higher than the others, by %(points)s points a take.") % said
        else:
            yield _("%(name)s marks lower than the others, by %(points)s points a take.") % said


def _apart(results: Results, takes: list[TakeResult], away: dict, habits: dict[int, float]) -> Iterator[str]:
    for take in takes:
        for listener, total in take.totals.items():
            off = away[take.panel_take.pk, listener] - habits.get(listener, 0.0)
            if abs(off) < APART * results.span:
                continue
            others = [float(other) for who, other in take.totals.items() if who != listener]
            yield _(
                "%(name)s gave take %(code)s %(total)s points, the middle of the others is %(middle)s."
            ) % {
                "name": results.listeners[listener].name,
                "code": take.panel_take.code,
                "total": short_number(round(float(total), 1)),
                "middle": short_number(round(statistics.median(others), 1)),
            }
