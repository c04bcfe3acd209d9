"""What stands in the margin of printed music: bar notes, and what a room above asks about its bars."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

from repertoire.access import may_annotate, may_change_note
from repertoire.models import BarNote, Excerpt
from repertoire.notation.score import Score


class AtBars(Protocol):
    """What can stand beside music: printed bar labels, both included, and how they are said."""

    @property
    def from_bar(self) -> str: ...
    @property
    def to_bar(self) -> str: ...
    @property
    def bars_text(self) -> str: ...


@dataclass(frozen=True, slots=True)
class MarginLine:
    """One note or question; `measure_ids` are its bars, empty when no longer printed."""

    bars_text: str
    measure_ids: tuple[str, ...]
    place: int
    note: BarNote | None = None
    question: AtBars | None = None
    may_change: bool = False


@dataclass(frozen=True, slots=True)
class Margin:
    lines: tuple[MarginLine, ...]
    may_write: bool
    labels: tuple[str, ...]


def margin_of(excerpt: Excerpt, user, questions: Iterable[AtBars] = ()) -> Margin:
    """Bar notes and the `questions` this person may read, in the order of print."""
    score = excerpt.score
    noted = [
        _line(score, note, note=note, may_change=may_change_note(user, note))
        for note in excerpt.bar_notes.select_related("author")
    ]
    asked = [_line(score, question, question=question) for question in questions]
    return Margin(
        lines=tuple(sorted([*noted, *asked], key=lambda line: line.place)),
        may_write=may_annotate(user),
        labels=tuple(dict.fromkeys(score.labels)),
    )


def _line(score: Score, row, **kept) -> MarginLine:
    ids = _bars_between(score, row.from_bar, row.to_bar)
    place = score.place_of(row.from_bar) if ids else len(score.measures)
    return MarginLine(bars_text=row.bars_text, measure_ids=ids, place=place, **kept)


def _bars_between(score: Score, first: str, last: str) -> tuple[str, ...]:
    labels = score.labels
    if first not in labels or last not in labels:
        return ()
    low, high = labels.index(first), len(labels) - 1 - labels[::-1].index(last)
    return tuple(measure.measure_id for measure in score.measures[low : high + 1])
