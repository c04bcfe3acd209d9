"""What a closed panel says: means, spread and ranks by instrument and level, ties as the form breaks them.

Sums are kept as fractions, so that two entries tie exactly when they do on paper.
"""

import statistics
from collections import defaultdict
from dataclasses import dataclass, field
from fractions import Fraction

from recordings.models import Panel, PanelListener, PanelSheet, PanelTake
from recordings.panels.agreement import FEWEST_TAKES, Icc, alpha_interval, icc
from repertoire.models import Caption
from studio.models import Entry


@dataclass(slots=True)
class TakeResult:
    """One take: the totals of those who marked it whole, by listener id."""

    panel_take: PanelTake
    totals: dict[int, Fraction] = field(default_factory=dict)
    marks: dict[int, list[Fraction]] = field(default_factory=lambda: defaultdict(list))
    remarks: list[str] = field(default_factory=list)

    @property
    def mean(self) -> Fraction | None:
        return Fraction(sum(self.totals.values()), len(self.totals)) if self.totals else None

    @property
    def spread(self) -> float | None:
        """Standard deviation of the listeners' totals; None under two of them."""
        return statistics.stdev(map(float, self.totals.values())) if len(self.totals) > 1 else None

    def mean_of(self, caption: Caption) -> Fraction:
        given = self.marks[caption.pk]
        return Fraction(sum(given), len(given))


@dataclass(slots=True)
class EntryResult:
    """One entry with its takes; no rank where a take of what others of the group played is missing."""

    entry: Entry
    takes: list[TakeResult]
    is_whole: bool = False
    rank: int | None = None
    shares_rank: bool = False

    @property
    def mean(self) -> Fraction | None:
        means = [take.mean for take in self.takes if take.mean is not None]
        return sum(means, Fraction(0)) if means else None

    @property
    def spread(self) -> float | None:
        spreads = [take.spread for take in self.takes if take.spread is not None]
        return statistics.fmean(spreads) if spreads else None

    def key(self, deciding: list[Caption]) -> tuple[Fraction, ...]:
        """What ranks are read from: the mean total, then the captions that decide ties, in their order."""
        ties = (sum((take.mean_of(caption) for take in self.takes), Fraction(0)) for caption in deciding)
        return (self.mean or Fraction(0), *ties)


@dataclass(frozen=True, slots=True)
class Group:
    """Entries of one instrument and level, the first rank first, those without a rank last."""

    instrument: str
    level: str
    entries: list[EntryResult]
    alpha: float | None
    icc: Icc | None
    unequal: bool  # not everyone marked every take

    @property
    def takes(self) -> list[TakeResult]:
        return [take for entry in self.entries for take in entry.takes]


@dataclass(frozen=True, slots=True)
class Results:
    groups: list[Group]
    listeners: dict[int, PanelListener]
    out_of: Fraction  # the highest total of one take
    span: Fraction  # from the lowest total of one take to the highest


def results_of(panel: Panel) -> Results:
    """Read from the stored marks, in the same number of queries for many takes as for few."""
    captions = list(panel.rubric.captions.all())
    deciding = panel.rubric.deciding_captions
    weights = {caption.pk: Fraction(caption.weight) for caption in captions}
    takes = _takes(panel, weights)
    groups: dict[tuple[str, str], list[TakeResult]] = defaultdict(list)
    for take in takes:
        entry = take.panel_take.take.entry
        groups[entry.instrument, entry.level].append(take)
    return Results(
        groups=[_group(*names, rows, deciding) for names, rows in sorted(groups.items())],
        listeners={listener.pk: listener for listener in panel.listeners.select_related("user")},
        out_of=sum((weights[c.pk] * Fraction(c.high) for c in captions), Fraction(0)),
        span=sum((weights[c.pk] * Fraction(c.high - c.low) for c in captions), Fraction(0)),
    )


def _takes(panel: Panel, weights: dict[int, Fraction]) -> list[TakeResult]:
    """In the order of codes; a sheet that lacks a mark does not count, its remark is kept."""
    rows = panel.takes.hearable().select_related("take__entry__student", "take__requirement__excerpt")
    results = {row.pk: TakeResult(row) for row in rows.defer("take__requirement__excerpt__musicxml")}
    sheets = PanelSheet.objects.filter(panel_take__in=results).order_by("listener", "position")
    for sheet in sheets.prefetch_related("marks"):
        result, values = results[sheet.panel_take_id], sheet.values
        if sheet.remark.strip():
            result.remarks.append(sheet.remark.strip())
        if weights and values.keys() >= weights.keys():
            result.totals[sheet.listener_id] = sum(
                (weight * Fraction(values[pk]) for pk, weight in weights.items()), Fraction(0)
            )
            for pk in weights:
                result.marks[pk].append(Fraction(values[pk]))
    return list(results.values())


def _group(instrument: str, level: str, takes: list[TakeResult], deciding: list[Caption]) -> Group:
    by_entry: dict[int, EntryResult] = {}
    for take in takes:
        entry = take.panel_take.take.entry
        by_entry.setdefault(entry.pk, EntryResult(entry, [])).takes.append(take)
    played = {take.panel_take.take.requirement_id for take in takes}
    for result in by_entry.values():
        marked = {take.panel_take.take.requirement_id for take in result.takes if take.totals}
        result.is_whole = marked == played
    entries = _ranked(list(by_entry.values()), deciding)
    units = [take.totals for take in takes if take.totals]
    enough = len(units) >= FEWEST_TAKES
    return Group(
        instrument,
        level,
        entries,
        alpha_interval([[float(total) for total in unit.values()] for unit in units]) if enough else None,
        _icc(units) if enough else None,
        len({frozenset(unit) for unit in units}) > 1,
    )


def _ranked(entries: list[EntryResult], deciding: list[Caption]) -> list[EntryResult]:
    """1, 2, 2, 4: whoever shares a rank leaves the next one free."""
    whole = sorted((e for e in entries if e.is_whole), key=lambda e: e.key(deciding), reverse=True)
    keys = [entry.key(deciding) for entry in whole]
    for entry, key in zip(whole, keys, strict=True):
        entry.rank, entry.shares_rank = keys.index(key) + 1, keys.count(key) > 1
    return whole + [entry for entry in entries if not entry.is_whole]


def _icc(units: list[dict[int, Fraction]]) -> Icc | None:
    """Over the takes that all listeners of the group marked; None where those are too few."""
    everyone = set().union(*units)
    whole = [unit for unit in units if unit.keys() == everyone]
    if len(whole) < FEWEST_TAKES:
        return None
    return icc([[float(unit[listener]) for listener in sorted(everyone)] for unit in whole])
