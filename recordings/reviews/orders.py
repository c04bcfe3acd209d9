"""The orders of bars a take of a requirement may have been played in, for a teacher to choose from."""

from itertools import pairwise

from django.utils.translation import gettext as _

from repertoire.notation.order.order_line import (
    FIRST_ENDINGS,
    LAST_ENDINGS,
    PRINTED,
    compose_order,
    print_order,
)
from repertoire.notation.score import BadScore, Score
from repertoire.words import bar_words
from studio.models import Requirement

MOST_SECTIONS = 6  # stretches that come again, each of which may have been left out by itself

Order = tuple[int, ...]


def orders_of(requirement: Requirement) -> list[tuple[str, str]]:
    """(line, words) of each, without those that say the same bars twice; the one asked for first."""
    score = requirement.excerpt.score
    found: dict[Order, str] = {}
    for order, words in _all(score, requirement):
        if order:
            found.setdefault(order, words)
    return [(print_order(score, order), words) for order, words in found.items()]


def _all(score: Score, requirement: Requirement):
    try:
        asked = requirement.order
    except BadScore:  # measured before a correction, by which bars are asked for that this music lacks
        return
    yield asked, _("as asked for")
    for again in _sections(asked)[:MOST_SECTIONS]:
        rest = tuple(index for place, index in enumerate(asked) if place not in again)
        first, last = (score.measures[asked[place]].number for place in (again[0], again[-1]))
        yield rest, _("%(bars)s not repeated") % {"bars": bar_words(first, last)}
    try:
        yield compose_order(score, repeats=LAST_ENDINGS, bars=requirement.bars), _("without repeats")
        yield (
            compose_order(score, repeats=FIRST_ENDINGS, bars=requirement.bars),
            _("without repeats, first endings"),
        )
        yield compose_order(score, repeats=PRINTED, bars=requirement.bars), _("as printed, with repeats")
    except BadScore:
        return


def _sections(order: Order) -> list[range]:
    """Places of each stretch that comes again, where it does: after a step back, until new bars begin."""
    steps_back = [place + 1 for place, (here, there) in enumerate(pairwise(order)) if there <= here]
    found = []
    for start in steps_back:
        before = set(order[:start])
        end = start
        while (
            end < len(order) and order[end] in before and (end == start or order[end] == order[end - 1] + 1)
        ):
            end += 1
        found.append(range(start, end))
    return found
