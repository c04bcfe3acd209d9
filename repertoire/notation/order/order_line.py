"""The order of play as a line a person writes: "1-8, 1-7, 9, 10-24, coda 25-30".

A line is bar ranges in the order they are played, by printed number; a range that comes again is written
again. Words before a range ("coda", "then") say nothing of the order and are read over. A number printed on
several bars, as on the halves of a split bar, means all of them in a row; `8:1` and `8:2` name one of them.
An order is measure indexes as played. What cannot be read or played raises `BadScore`, naming the bad part.
"""

import re
from collections import Counter
from collections.abc import Iterable

from repertoire.notation import messages
from repertoire.notation.order.forms import printed_range, runs_of, within
from repertoire.notation.score import MOST_PLAYED_NOTES, BadScore, Score

PRINTED, LAST_ENDINGS, FIRST_ENDINGS = "printed", "last_endings", "first_endings"
LONGEST_LINE = 2000  # characters
MOST_BARS = 4000  # played bars; a score may have 2000 printed ones
PIECE = re.compile(
    r"^(?:[^\W\d]+\.?\s+)*(?P<first>\S+?)(?:\s*(?:-|–|—|\bto\b)\s*(?P<last>\S+))?$", re.IGNORECASE
)
PLACED = re.compile(r"^(?P<label>.+):(?P<which>[1-9]\d?)$")


def parse_order(score: Score, text: str) -> tuple[int, ...]:
    """Measure indexes in the order of the line; raises `BadScore` with a sentence naming the bad part."""
    pieces = [piece.strip() for piece in re.split(r"[,;\n]", text)]
    pieces = [piece for piece in pieces if piece]
    if not pieces:
        raise BadScore(messages.LINE_EMPTY())
    notes_in = Counter(note.measure_index for note in score.notes)
    order: list[int] = []
    played_notes = 0
    for piece in pieces:
        run = _range_of(score, piece)
        order += run
        if len(order) > MOST_BARS:
            raise BadScore(messages.LINE_TOO_LONG(limit=MOST_BARS))
        played_notes += sum(notes_in[index] for index in run)
        if played_notes > MOST_PLAYED_NOTES:
            raise BadScore(messages.LINE_MANY_NOTES(limit=MOST_PLAYED_NOTES))
    return tuple(order)


def print_order(score: Score, order: Iterable[int]) -> str:
    """The line of an order; `parse_order` reads it back to the same bars."""
    return ", ".join(_run_text(score, run[0], run[-1]) for run in runs_of(order))


def compose_order(
    score: Score, *, repeats: str, bars: tuple[str, str] | None = None, cut: str = ""
) -> tuple[int, ...]:
    """The usual choices: `repeats` as PRINTED, LAST_ENDINGS or FIRST_ENDINGS, then a range, then a cut.

    The two without repeats differ in the ending that is played; da capo and dal segno stay in both.
    """
    order = {
        PRINTED: score.order,
        LAST_ENDINGS: score.order_without_repeats,
        FIRST_ENDINGS: with_first_endings(score),
    }[repeats]
    if bars is not None:
        order = within(order, *printed_range(score, *bars))
    return without_bars(score, order, cut) if cut.strip() else order


def without_bars(score: Score, order: tuple[int, ...], cut: str) -> tuple[int, ...]:
    """The order with a cut made: every pass of these printed bars is left out."""
    gone = set(parse_order(score, cut))
    left = tuple(index for index in order if index not in gone)
    if not left:
        raise BadScore(messages.CUT_ALL())
    return left


def with_first_endings(score: Score) -> tuple[int, ...]:
    """Repeats left out as in `order_without_repeats`, but with the first ending of each group played."""
    if not score.endings:
        return score.order_without_repeats
    firsts: dict[int, tuple[int, ...]] = {}
    later: set[int] = set()
    for group in score.endings:
        (first, last), *others = group
        firsts[others[-1][0] if others else first] = tuple(range(first, last + 1))
        later |= {index for low, high in others for index in range(low, high + 1)}
    order: list[int] = []
    for index in score.order_without_repeats:
        if index in firsts:
            order += firsts[index]
        elif index not in later and not (order and index == order[-1]):
            order.append(index)
    return tuple(order)


def unasked(score: Score, order: Iterable[int]) -> frozenset[str]:
    """Ids of the printed bars that are never played in this order."""
    played = set(order)
    return frozenset(m.measure_id for m in score.measures if m.index not in played)


def ends_of(score: Score, order: Iterable[int]) -> tuple[str, str]:
    """Printed numbers of the first and the last bar on the page that is played."""
    played = sorted(set(order))
    return score.measures[played[0]].number, score.measures[played[-1]].number


def _range_of(score: Score, piece: str) -> range:
    found = PIECE.match(piece)
    if found is None:
        raise BadScore(messages.LINE_UNREAD(part=piece))
    first, last = found["first"], found["last"] or found["first"]
    try:
        low, high = _indexes(score, first)[0], _indexes(score, last)[-1]
    except BadScore as error:
        raise BadScore(messages.LINE_PART(part=piece, why=error.sentence)) from error
    if low > high:
        raise BadScore(messages.LINE_PART(part=piece, why=messages.BARS_BACKWARDS(first=first, last=last)))
    return range(low, high + 1)


def _indexes(score: Score, label: str) -> list[int]:
    """The printed bars of one label, in print order."""
    same = [measure.index for measure in score.measures if measure.number == label]
    placed = PLACED.match(label)
    if not same and placed:
        several = [m.index for m in score.measures if m.number == placed["label"]]
        same = several[int(placed["which"]) - 1 :][:1]
    if not same:
        printed_range(score, label, label)  # says which bars there are
    return same


def _run_text(score: Score, low: int, high: int) -> str:
    first, last = _name(score, low, end=0), _name(score, high, end=-1)
    if low == high:
        plain = score.measures[low].number
        return plain if _indexes(score, plain) == [low] else _placed_name(score, low)
    return f"{first}-{last}"


def _name(score: Score, index: int, *, end: int) -> str:
    """The plain number where, at this end of a range, it means just this bar."""
    plain = score.measures[index].number
    return plain if _indexes(score, plain)[end] == index else _placed_name(score, index)


def _placed_name(score: Score, index: int) -> str:
    label = score.measures[index].number
    return f"{label}:{_indexes(score, label).index(index) + 1}"
