"""The pieces that may be heard, each as one chain of events in printed order.

A chain holds every bar once, in the order of the page: whoever practises begins anywhere, and a repeat taken
is two runs of one chain. Pitches are sounding MIDI numbers, lengths seconds at the printed tempo.
"""

from dataclasses import dataclass

import numpy as np

from recordings.analysis.follow.events import Event, build
from repertoire.notation.order import forms
from repertoire.notation.score import Form, Score

USUAL_PACE_S = 60.0 / 90.0  # a quarter, where nothing is marked; common practice, no published source


@dataclass(frozen=True, slots=True)
class Piece:
    """One known piece; `name` is whatever the caller knows it by."""

    name: str
    score: Score


@dataclass(frozen=True, slots=True)
class Chain:
    """The events of one piece in printed order; `position` of an event is the index of its bar."""

    piece: Piece
    form: Form
    events: tuple[Event, ...]
    seconds_per_quarter: float

    @property
    def pitches(self) -> tuple[int, ...]:
        """The distinct pitches printed, lowest first."""
        return tuple(sorted({midi for event in self.events for midi in event.pitches}))

    @property
    def lengths_s(self) -> np.ndarray:
        """(events,) seconds from each event to the next at the printed tempo."""
        return np.array([event.length_q for event in self.events]) * self.seconds_per_quarter


def chain_of(piece: Piece) -> Chain:
    """Raises nothing; a piece without notes has no events."""
    form = forms.play(piece.score, order=range(len(piece.score.measures)))
    return Chain(piece, form, build(form), _pace_s(piece.score))


def _pace_s(score: Score) -> float:
    """Seconds a quarter by the first tempo of the file, printed or only played back."""
    for mark in score.tempo_marks:
        if mark.bpm:
            return 60.0 / mark.bpm / mark.beat_unit_q
    return USUAL_PACE_S
