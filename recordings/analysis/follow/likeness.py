"""Whether the path found is a playing of this piece, or only what any score with such notes would give.

Whatever is played, some path through a score full of chords explains much of it. Two things tell chance
from the piece: the same notes in an order drawn by lot explain less (a permutation test), and the notes
come in the printed rhythm. Only where neither speaks for the piece is it held not to be this one; and a page
of even notes is even at any pace, so rhythm says nothing where any order explains nearly as much.

Limits were set in November 2026 on 194 right takes (12 instruments; chords, ringing, beginners, a piano under
the solo, scales before and after, broken off or begun late) and 171 wrong pages, a theme against its double
among them. With them 189 of the right ones are followed and no wrong page is told as the piece; of the wrong
ones told before, the least uneven had 0.17, and the best order drawn by lot at least 0.77 of the score.
"""

from dataclasses import replace
from itertools import pairwise

import numpy as np

from recordings.analysis.follow.alignment import align_at, with_bars_around
from recordings.analysis.follow.events import Event
from recordings.analysis.follow.segments import Alignment, Segment
from recordings.analysis.sound.features import Features
from repertoire.notation.score import Form

SURE_GAIN = 0.78  # nats a sounding frame; the wrong pages told before had at most 0.69
IN_RHYTHM = 0.15  # change of pace from note to note, in natural logarithms
BY_LOT = 0.75  # of the score of the path found
# the same where the notes come in rhythm: wrong pages had 0.94 and more, right takes at most 0.80
EVEN_BY_LOT = 0.9
DRAWN = 2  # orders; with one alone a wrong page had 0.64
FEW = 3  # changes of pace: fewer tell no rhythm


def by_chance(
    features: Features,
    form: Form,
    events: tuple[Event, ...],
    found: Alignment,
    *,
    seconds_per_quarter: float,
    tuning_cents: float,
) -> bool:
    """Whether neither order nor rhythm speaks for the piece. `seconds_per_quarter`: as `align` began with.

    The orders are drawn with fixed seeds, so that a take always reads the same.
    """
    sounding = float((1 - found.observations.silent).sum())
    sure = found.score * len(found.observations.silent) >= SURE_GAIN * sounding
    if not found.segments or sure:
        return False
    explained = EVEN_BY_LOT if unevenness(found.segments, events) <= IN_RHYTHM else BY_LOT
    wide, wide_events, asked = with_bars_around(form, events)
    return any(
        align_at(
            features, wide, _drawn(wide_events, seed), asked, seconds_per_quarter, tuning_cents, found.shift
        ).score
        > explained * found.score
        for seed in range(DRAWN)
    )


def unevenness(segments: tuple[Segment, ...], events: tuple[Event, ...]) -> float:
    """Median change of pace from one note to the next, in natural logarithms; infinite for too few notes."""
    pace = {
        here.event: np.log(max(there.start_s - here.start_s, 1e-3) / events[here.event].length_q)
        for here, there in pairwise(segments)
        if there.event == here.event + 1
    }
    changes = [abs(pace[event + 1] - pace[event]) for event in pace if event + 1 in pace]
    return float(np.median(changes)) if len(changes) >= FEW else np.inf


def _drawn(events: tuple[Event, ...], seed: int) -> tuple[Event, ...]:
    """The same bars and rhythm with the pitches of all events in an order drawn by lot."""
    order = np.random.default_rng(seed).permutation(len(events))
    return tuple(
        replace(event, struck=events[i].struck, pitches=events[i].pitches, trill=events[i].trill)
        for event, i in zip(events, order, strict=True)
    )
