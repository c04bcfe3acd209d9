"""Where each printed spelling has its place: equal temperament, pure fifths, or just intonation on a keynote.

A note's place follows its printed name on the line of fifths (... B flat -2, F -1, C 0, G 1 ...), so that a
C sharp and a D flat differ. Cents are differences to equal temperament at the same A; a keynote is given by
its own place on the line, as written. Nothing is raised.
"""

import math
from dataclasses import dataclass

import numpy as np

from recordings.analysis.measure.fifths import COMMA_CENTS, FIFTH_CENTS
from recordings.analysis.statistics import robust_slope, robust_spread

EQUAL, JUST, PYTHAGOREAN = "equal", "just", "pythagorean"
# For a player's own system to be told: enough notes on enough places, and a slope known this well.
LEAST_NOTES, LEAST_PLACES, MOST_ERROR_CENTS = 60, 6, 0.4
WIDEST_FIFTH_CENTS = 3.0  # beyond pure by half as much again: no system of tuning, but single notes off


@dataclass(frozen=True, slots=True)
class Leaning:
    """How a player's pitch follows the line of fifths: cents a fifth beside equal temperament.

    0 is equal temperament, 1.96 pure fifths, below 0 towards pure thirds; `error_cents` is one standard
    error. `middle` is the place on the line where the leaning is nothing.
    """

    cents_per_fifth: float
    error_cents: float
    middle: float

    @property
    def kept_to(self) -> float:
        """The part of the leaning that is a way of tuning: between equal temperament and wide fifths."""
        return min(max(self.cents_per_fifth, 0.0), WIDEST_FIFTH_CENTS)


def offset_cents(fifths: int, *, temperament: str, keynote: int | None) -> float:
    """Cents from equal temperament at the keynote; 0 in equal temperament or without a keynote.

    Just intonation takes the thirds and sixths of the five-limit lattice: each four fifths away from the
    keynote give way to a pure third (ratios 16/15 9/8 6/5 5/4 4/3 45/32 3/2 8/5 5/3 16/9 15/8).
    """
    if keynote is None or temperament == EQUAL:
        return 0.0
    away = fifths - keynote
    commas = math.copysign((abs(away) + 1) // 4, away) if temperament == JUST else 0.0
    return FIFTH_CENTS * away - COMMA_CENTS * commas


def leaning(fifths: np.ndarray, cents: np.ndarray) -> Leaning | None:
    """The player's own system from notes' places on the line and cents beside equal temperament, `(notes,)`.

    The slope is Theil's over the medians of the places, so that neither one pitch far off nor one that comes
    often decides it. None where too little was measured to know it.
    """
    places = [place for place in np.unique(fifths) if np.sum(fifths == place) >= 3]
    if fifths.size < LEAST_NOTES or len(places) < LEAST_PLACES:
        return None
    line = np.array(places, dtype=float)
    middles = np.array([float(np.median(cents[fifths == place])) for place in places])
    slope = robust_slope(line, middles)
    rest = middles - slope * line
    error = robust_spread(rest) / (line.std() * math.sqrt(line.size))
    if error > MOST_ERROR_CENTS:
        return None
    return Leaning(slope, error, float(np.median(fifths)))
