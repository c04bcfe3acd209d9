"""First endings whose repeat was left out: they go with it, and nobody was to play them.

Positions are those of the form, measures those of print. Nothing is raised.
"""

from collections import Counter
from collections.abc import Collection
from itertools import pairwise

from repertoire.notation.score import Form


def not_needed(form: Form, missed_positions: Collection[int]) -> frozenset[int]:
    """Measure indexes of the endings before a repeat that was not taken, where they were not played."""
    missed = set(missed_positions)
    found: set[int] = set()
    for bar, following in pairwise(form.bars):
        back = following.measure_index < bar.measure_index
        if back and bar.position in missed and following.position in missed:
            found |= _ending_before(form, bar.position, missed)
    return frozenset(found)


def _ending_before(form: Form, position: int, missed: set[int]) -> set[int]:
    """The unplayed bars up to `position` that the form has only once."""
    counts = Counter(bar.measure_index for bar in form.bars)
    found: set[int] = set()
    while position in missed and counts[form.bars[position].measure_index] == 1:
        found.add(form.bars[position].measure_index)
        position -= 1
    return found
