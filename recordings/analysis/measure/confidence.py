"""How often what is told of such a note is right: a confidence that means what it says.

Right means a true status, an onset within 50 ms, and cents within 10 where they are told. The log-odds of it
are a weighed sum of what the following and the reading of the pitch left behind (logistic regression, as in
Platt's scaling of a classifier's output: J. Platt, "Probabilistic outputs for support vector machines", in
"Advances in Large Margin Classifiers", MIT Press 1999, from memory). Nothing is raised.

`python -m tests.accuracy.kinds --fit` finds the weights; `python -m tests.accuracy.kinds` holds them to other
seeds and to instruments they were not fitted on.
"""

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from recordings.analysis.follow.note_result import MISSING, UNCERTAIN, WRONG, NoteResult

NEAR = 4  # notes before and behind that tell how well the take is followed here
USUAL_S, MIDDLE_C = 0.25, 60
# blur in seconds from and to which it counts, and its unit; spread to which it counts, and its unit, cents
CLEAR_BLUR_S, MOST_BLUR_S, BLUR_S, SPREAD_CENTS = 0.016, 0.06, 0.02, 10.0
# below a share of 0.7 the share right falls more slowly than the sum says
KNEE, BELOW_KNEE = float(np.log(0.7 / 0.3)), 0.7
LEAST, MOST = 0.02, 0.98  # of the evidence, and of what is told
UNCERTAIN_MOST = 0.5  # where not even the status is told


class Odds(NamedTuple):
    """Log-odds of being right: `always`, and the weight of each thing known of a note."""

    always: float
    evidence: float = 0.0  # of its own log-odds
    around: float = 0.0  # of the mean evidence of the notes near, from 0 to 1
    length: float = 0.0  # of the doublings of a quarter of a second
    unsteady: float = 0.0  # of the attack's blur, in fiftieths of a second, and the pitch's spread together
    depth: float = 0.0  # of the octaves below middle C, above it negative


# fitted on the seed 21: five instruments of the benchmark and the takes of `tests.accuracy.kinds`, Nov. 2026
PITCHED = Odds(always=-1.13, evidence=0.51, around=4.36, length=-0.3, unsteady=-2.1, depth=-0.4)
TIMED = Odds(always=0.53, evidence=1.21, around=0.3, length=-0.5, unsteady=-2.94, depth=-0.54)
OTHER_PITCH = Odds(always=-0.87, evidence=0.77)
NOT_PLAYED = Odds(always=1.47)


def calibrated(notes: tuple[NoteResult, ...]) -> tuple[NoteResult, ...]:
    """The same notes with their confidence. `notes` in played order, measured and with their deviations."""
    return tuple(
        replace(note, confidence=_confidence(note, known))
        for note, known in zip(notes, what_is_known(notes), strict=True)
    )


def odds_of(note: NoteResult) -> Odds:
    """The weights for what is told of this note."""
    if note.status == MISSING:
        return NOT_PLAYED
    if note.status == WRONG:
        return OTHER_PITCH
    return TIMED if note.deviation_cents is None else PITCHED


def what_is_known(notes: tuple[NoteResult, ...]) -> list[Odds]:
    """What the weights of `Odds` are for, a row a note."""
    own = np.array([0.0 if note.status == MISSING else note.evidence for note in notes])
    rows = []
    for at, note in enumerate(notes):
        near = np.r_[own[max(at - NEAR, 0) : at], own[at + 1 : at + 1 + NEAR]]
        evidence = min(max(note.evidence, LEAST), MOST)
        length_s = 0.0 if note.onset_s is None else note.ended_s - note.began_s
        rows.append(Odds(
            always=1.0,
            evidence=float(np.log(evidence / (1.0 - evidence))),
            around=float(near.mean()) if near.size else 0.0,
            length=float(np.clip(np.log2(max(length_s, 1e-3) / USUAL_S), -3.0, 3.0)),
            unsteady=_unsteady(note),
            depth=(MIDDLE_C - note.midi) / 12.0,
        ))  # fmt: skip
    return rows


def _unsteady(note: NoteResult) -> float:
    blur = (min(max(note.onset_blur_s, CLEAR_BLUR_S), MOST_BLUR_S) - CLEAR_BLUR_S) / BLUR_S
    return float(np.hypot(blur, min((note.spread_cents or 0.0) / SPREAD_CENTS, 1.0)))


def _confidence(note: NoteResult, known: Odds) -> float:
    log_odds = float(np.dot(odds_of(note), known))
    if note.onset_s is not None and note.status != WRONG and log_odds < KNEE:
        log_odds = KNEE + BELOW_KNEE * (log_odds - KNEE)
    share = min(max(1.0 / (1.0 + float(np.exp(-log_odds))), LEAST), MOST)
    return round(min(share, UNCERTAIN_MOST) if note.status == UNCERTAIN else share, 3)
