"""Forms: the order in which bars are played, with every note on one time line.

Order of play follows MusicXML 4.0 (repeats, endings, `<sound>` jumps) as `unfolding` reads it. music21 reads
the same repeats independently and is the cross-check wherever it is sound: not where endings meet a da
capo or dal segno, which it unfolds wrongly without saying so (seen with music21 10.5.1). Times are quarters
from the start of the form. Bars that the score does not have raise `BadScore`.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from repertoire.notation import messages
from repertoire.notation.order.cross_check import music21_order
from repertoire.notation.order.navigation import has_endings, has_jumps, has_repeats, jump_count, skeleton
from repertoire.notation.order.printed_order import printed_order
from repertoire.notation.score import BadScore, Form, Note, PlayedBar, PlayedNote, Score
from repertoire.notation.sentence import Sentence
from repertoire.notation.xml import parse_trusted, to_text

EPSILON_Q = 1e-6


@dataclass(frozen=True, slots=True)
class OrderOfPlay:
    """Measure indexes as played; `other_order` is the cross-check's, None where it cannot be trusted."""

    order: tuple[int, ...]
    other_order: tuple[int, ...] | None
    agreed: bool
    note: Sentence


def order_of_play(musicxml: str) -> OrderOfPlay:
    """Read the order of play of a canonical MusicXML twice; `note` is a sentence for the director."""
    tree = parse_trusted(musicxml)
    measures = tree.findall("part/measure")
    labels = [measure.get("number", "") for measure in measures]
    order = printed_order(tree)
    words = describe_order(order, labels)
    if not (has_repeats(measures) or has_endings(measures) or has_jumps(measures)):
        return OrderOfPlay(order, order, True, messages.ORDER_PLAIN())
    if has_endings(measures) and has_jumps(measures):
        return OrderOfPlay(order, None, False, messages.ORDER_UNCHECKED(order=words))
    other, seen_jumps = music21_order(to_text(skeleton(tree)), len(measures))
    if other is None:
        return OrderOfPlay(order, None, False, messages.ORDER_OTHER_FAILED(order=words))
    if seen_jumps != jump_count(measures):
        return OrderOfPlay(order, None, False, messages.ORDER_WORDLESS(order=words))
    if other != order:
        note = messages.ORDER_DIFFERS(order=words, other=describe_order(other, labels))
        return OrderOfPlay(order, other, False, note)
    return OrderOfPlay(order, other, True, messages.ORDER_AGREED())


def play(
    score: Score,
    *,
    with_repeats: bool = True,
    bars: tuple[str, str] | None = None,
    order: Sequence[int] | None = None,
) -> Form:
    """The form to be played: all of it, or the printed bars `bars` = (from, to), both included.

    `order`, measure indexes as played, says it all by itself; the other two are then not looked at.
    Without repeats only last endings are played; da capo and dal segno stay. A repeat whose start lies
    before the excerpt is not taken. Grace notes have no length and stand at their main note's start.
    Raises `BadScore` for bars the score does not have.
    """
    return _placed_in_time(score, order_to_play(score, with_repeats=with_repeats, bars=bars, order=order))


def order_to_play(
    score: Score,
    *,
    with_repeats: bool = True,
    bars: tuple[str, str] | None = None,
    order: Sequence[int] | None = None,
) -> tuple[int, ...]:
    """The measure indexes of `play` with the same arguments."""
    if order is not None:
        if not order or not all(0 <= index < len(score.measures) for index in order):
            raise BadScore(messages.LINE_EMPTY())
        return tuple(order)
    printed = score.order if with_repeats else score.order_without_repeats
    return printed if bars is None else within(printed, *printed_range(score, *bars))


def _placed_in_time(score: Score, order: tuple[int, ...]) -> Form:
    by_measure: dict[int, list[Note]] = {}
    for note in score.notes:
        by_measure.setdefault(note.measure_index, []).append(note)
    held = _held_over(score.notes)
    passes: Counter[int] = Counter()
    played_bars: list[PlayedBar] = []
    played_notes: list[PlayedNote] = []
    start_q = 0.0
    for position, index in enumerate(order):
        passes[index] += 1
        played_bars.append(PlayedBar(position, index, passes[index], start_q))
        arrived = order[position - 1] if position else None
        notes = list(by_measure.get(index, ()))
        if arrived != index - 1:
            notes += held.get(index, ())
        run_q = _run_length_q(score, order, position)
        played_notes += _placed(notes, played_bars[-1], run_q)
        start_q += score.measures[index].length_q
    return Form(score=score, bars=tuple(played_bars), notes=tuple(played_notes), length_q=start_q)


def _placed(notes: Iterable[Note], bar: PlayedBar, run_q: float) -> list[PlayedNote]:
    """Notes of one played bar on the form's time line; a tie is cut where the music jumps away."""
    placed = [
        PlayedNote(
            note=note,
            position=bar.position,
            pass_number=bar.pass_number,
            start_q=bar.start_q + note.start_q,
            duration_q=min(note.duration_q, max(0.0, run_q - note.start_q)),
        )
        for note in notes
    ]
    return sorted(placed, key=lambda n: (n.start_q, not n.note.grace, 0 if n.note.grace else n.note.midi))


def _run_length_q(score: Score, order: tuple[int, ...], position: int) -> float:
    """Quarters from the start of this bar to where the played order leaves the printed one."""
    length_q = score.measures[order[position]].length_q
    while position + 1 < len(order) and order[position + 1] == order[position] + 1:
        position += 1
        length_q += score.measures[order[position]].length_q
        if length_q > 64:  # longer than any tie; the exact length no longer matters
            break
    return length_q


def _held_over(notes: Iterable[Note]) -> dict[int, list[Note]]:
    """By bar: notes tied in from the bar before, as they are struck when the form enters right there."""
    held: dict[int, list[Note]] = {}
    for note in notes:
        reached = note.measure_index
        for k, (measure_index, start_q, _) in enumerate(note.tied_at):
            if measure_index != reached and start_q <= EPSILON_Q:
                struck = replace(
                    note,
                    note_id=note.tied_ids[k],
                    measure_index=measure_index,
                    start_q=start_q,
                    duration_q=sum(piece[2] for piece in note.tied_at[k:]),
                    tied_ids=note.tied_ids[k + 1 :],
                    tied_at=note.tied_at[k + 1 :],
                )
                held.setdefault(measure_index, []).append(struck)
            reached = measure_index
    return held


def printed_range(score: Score, first: str, last: str) -> tuple[int, int]:
    """Printed indexes from the first bar labelled `first` to the last labelled `last`.

    A bar that a repeat sign divides has its number twice: as the last it is meant up to the sign, as the
    first from the sign on, so that the next section's upbeat is not part of this one.
    """
    labels = score.labels
    first, last = first.strip(), last.strip()
    for label in (first, last):
        if label not in labels:
            raise BadScore(messages.BAR_NOT_FOUND(bar=label, first=labels[0], last=labels[-1]))
    low = labels.index(first)
    high = len(labels) - 1 - labels[::-1].index(last)
    if first != last:
        high -= labels[high - 1] == last and _divided_after(score, high - 1)
        low += labels[low + 1] == first and _divided_after(score, low)
    if low > high:
        raise BadScore(messages.BARS_BACKWARDS(first=first, last=last))
    return low, high


def _divided_after(score: Score, index: int) -> bool:
    """Whether a repeat or a jump stands between this measure and the next."""
    pairs = pairwise(score.order)
    return any((before == index) != (after == index + 1) for before, after in pairs)


def within(order: tuple[int, ...], low: int, high: int) -> tuple[int, ...]:
    """The first unbroken stretch of play inside the range that reaches from its first to its last bar."""
    runs: list[list[int]] = []
    inside = False
    for index in order:
        if low <= index <= high:
            if not inside:
                runs.append([])
            runs[-1].append(index)
        inside = low <= index <= high
    for run in runs:
        if run[0] == low and high in run:
            return tuple(run[: len(run) - run[::-1].index(high)])
    return tuple(range(low, high + 1))


def describe(form: Form) -> str:
    """The bars in played order in words: "1-8, 1-7, 9-24"."""
    return describe_order((bar.measure_index for bar in form.bars), form.score.labels)


def describe_order(order: Iterable[int], labels: list[str]) -> str:
    """Runs of neighbouring printed bars by label; a repeated stretch is named each time it is played."""
    return ", ".join(_run_label(labels[run[0]], labels[run[-1]]) for run in runs_of(order))


def runs_of(order: Iterable[int]) -> list[list[int]]:
    """The order cut where the next bar is not the next in print, and at every end of a repeated stretch."""
    played = list(order)
    turned_back = {here for here, there in pairwise(played) if there <= here}
    runs: list[list[int]] = []
    for index in played:
        if runs and index == runs[-1][-1] + 1 and runs[-1][-1] not in turned_back:
            runs[-1].append(index)
        else:
            runs.append([index])
    return runs


def _run_label(first: str, last: str) -> str:
    return first if first == last else f"{first}-{last}"
