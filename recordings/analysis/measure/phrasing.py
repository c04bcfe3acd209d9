"""Where music may take time without a sign: section ends, phrase ends, rolled chords, places stretched alike.

Common practice, no published source, for the places and for how much time each may take. Positions are
indexes into the bars of the form, event indexes those of the chain. Nothing is raised.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from recordings.analysis.follow.events import Event
from repertoire.notation.score import Form

ROLLED_NOTES = 3  # a chord of so many is broken or rolled on most instruments
LONG_AMONG, AROUND = 2.0, 4  # a note this much longer than those before it closes a phrase


@dataclass(frozen=True, slots=True)
class Freedom:
    """Time that may pass beyond the beat before it is a break: seconds, and beats of the metre, added up."""

    seconds: float
    beats: float


SECTION = Freedom(4.0, 4.0)
PHRASE = Freedom(0.6, 1.5)
ROLLED = Freedom(0.6, 0.5)
RUNNING = Freedom(0.0, 0.0)


def section_ends(form: Form) -> frozenset[int]:
    """Positions of the form whose bar closes a section: before a repeat sign, a jump, an ending, or the end.

    By print, so that a section closes where its repeat stands, whether or not this form takes it.
    """
    order = form.score.order
    closing = {a for a, b in pairwise(order) if b != a + 1}
    closing |= {b - 1 for a, b in pairwise(order) if b != a + 1}
    closing.add(len(form.score.measures) - 1)
    last = form.bars[-1].position if form.bars else -1
    return frozenset(b.position for b in form.bars if b.measure_index in closing or b.position == last)


def freedom_after(form: Form, events: tuple[Event, ...]) -> list[Freedom]:
    """How much time the music may take between each event and the next, one entry an event."""
    ends = section_ends(form)
    return [_freedom(events, index, ends) for index in range(len(events))]


def _freedom(events: tuple[Event, ...], index: int, ends: frozenset[int]) -> Freedom:
    event = events[index]
    after = events[index + 1] if index + 1 < len(events) else event
    if event.position in ends:
        return SECTION
    if event.sounding_q < event.length_q - 1e-3 or _closes_a_phrase(events, index):
        return PHRASE
    if max(len(event.struck), len(after.struck)) >= ROLLED_NOTES:
        return ROLLED
    return RUNNING


def _closes_a_phrase(events: tuple[Event, ...], index: int) -> bool:
    before = [e.length_q for e in events[max(index - AROUND, 0) : index]]
    return len(before) == AROUND and events[index].length_q >= LONG_AMONG * float(np.median(before)) - 1e-3
