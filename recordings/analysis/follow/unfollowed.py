"""Where something sounds that the path does not follow: other music, talk, or a fit that broke down.

The analysis cannot tell which of these it is, so it says only that it could not follow. Nothing is raised.
"""

from collections.abc import Collection
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from recordings.analysis.follow.matched import MatchedForm
from recordings.analysis.follow.segments import Around, Segment
from repertoire.notation.score import Form

LEAST_SOUNDING_S = 4.0  # a bow set anew, a page turned or a word is over sooner; common practice, no source


@dataclass(frozen=True, slots=True)
class Unfollowed:
    """Seconds of the take; `sounding_s` of them sound."""

    start_s: float
    end_s: float
    sounding_s: float
    to_the_end: bool


def unfollowed(
    segments: Collection[Segment | Around], silent: np.ndarray, frame_s: float
) -> tuple[Unfollowed, ...]:
    """Stretches behind followed notes, in order. `silent`: (frames,) from 0 to 1, `frame_s` apart."""
    in_order = sorted(segments, key=lambda segment: segment.start_s)
    end_s = len(silent) * frame_s
    gaps = [(here, there.start_s, False) for here, there in pairwise(in_order)]
    gaps += [(here, end_s, True) for here in in_order[-1:]]
    found = []
    for here, until_s, last in gaps:
        frames = silent[round(here.end_s / frame_s) : round(until_s / frame_s)]
        sounding_s = float((1 - frames).sum()) * frame_s
        if sounding_s >= LEAST_SOUNDING_S:
            found.append(Unfollowed(here.end_s, until_s, sounding_s, last))
    return tuple(found)


def is_lost(form: Form, matched: MatchedForm, stretches: Collection[Unfollowed]) -> bool:
    """Whether the take sounds on where it was followed no more, before the form's last bar."""
    ended = bool(matched.bars) and matched.bars[-1].measure_index == form.bars[-1].measure_index
    return not ended and any(stretch.to_the_end for stretch in stretches)
