"""Very long music is shown by stretches of bars, one on a page: no page, browser or line holds it all."""

import re
from collections.abc import Iterable

from repertoire.models import Excerpt
from repertoire.notation.order.forms import printed_range
from repertoire.notation.score import Score

# A choice, by measuring: about three megabytes of drawing.
STRETCH_NOTES = 4000
NOTE = re.compile(r"<note\b(?!-)")


def drawn_notes(musicxml: str) -> int:
    """Notes and rests in the text, counted without reading it as music."""
    return sum(1 for _ in NOTE.finditer(musicxml))


def stretches(excerpt: Excerpt) -> list[tuple[str, str]]:
    """The printed numbers of the first and last bar of each stretch; none where all stands on one page."""
    if drawn_notes(excerpt.musicxml) <= STRETCH_NOTES:
        return []
    score = excerpt.score
    found, low, count = [], 0, 0
    for index in range(len(score.measures)):
        notes = len(score.notes_in(index))
        if index > low and count + notes > STRETCH_NOTES:
            found.append((low, index - 1))
            low, count = index, 0
        count += notes
    found.append((low, len(score.measures) - 1))
    return [(score.measures[first].number, score.measures[last].number) for first, last in found]


def numbered_stretch(excerpt: Excerpt, number: str) -> tuple[str, str] | None:
    """The stretch of this number, from 1, as an address has it; the first where there is none."""
    found = stretches(excerpt)
    index = int(number) - 1 if number.isdecimal() and len(number) < 5 else 0
    return found[index if 0 <= index < len(found) else 0] if found else None


def stretch_with(excerpt: Excerpt, order: Iterable[int] = ()) -> tuple[str, str] | None:
    """The stretch in which an order of play, as measure indexes, begins on the page; None for all."""
    all_of_them = stretches(excerpt)
    first = min(order, default=0)
    for stretch in all_of_them:
        if first <= printed_range(excerpt.score, *stretch)[1]:
            return stretch
    return None


def within_stretch(score: Score, bars: tuple[str, str]) -> tuple[str, str]:
    """The bars asked for, or as many of the first of them as stand in one stretch."""
    low, high = printed_range(score, *bars)
    count = 0
    for index in range(low, high + 1):
        count += len(score.notes_in(index))
        if index > low and count > STRETCH_NOTES:
            return bars[0], score.measures[index - 1].number
    return bars
